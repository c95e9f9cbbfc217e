// One set, by hand and at random: where every metre and milligram of it goes.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BadPlace, inherited, usedFrom } from '../../src/domain/rollMap.ts';
import { cutSet, putBack, type RollOnMachine, type SetTaken, shared } from '../../src/domain/setCut.ts';

const roll = (more: Partial<RollOnMachine> = {}): RollOnMachine => ({
  widthUm: 1_000_000,
  lengthMm: 10_000_000,
  massMg: 100_000_000,
  places: [],
  ...more,
});
const strip = (fromMm: number, toMm: number, more = {}) => ({
  fromUm: fromMm * 1000,
  toUm: toMm * 1000,
  waste: false,
  ...more,
});
const set = (more: Partial<SetTaken> = {}): SetTaken => ({
  passedMm: 0,
  threadUp: false,
  lengthMm: 300_000,
  tailMm: 0,
  cutOuts: [],
  strips: [strip(10, 500), strip(500, 990)],
  ...more,
});
const shareOf = (made: ReturnType<typeof cutSet>, cause: string) =>
  made.shares.find((share) => share.cause === cause);

describe('one set cut from a roll', () => {
  it('sends the good strips out, and the edge trims and what was lost along into losses', () => {
    // 100 kg over 10 km x 1 m: 10 g a metre of full web.
    const made = cutSet(roll(), set({ passedMm: 30_000, threadUp: true, tailMm: 2000 }));
    expect(made.usedMm).toBe(332_000);
    expect(shareOf(made, 'lead-in')).toMatchObject({ side: 'loss', lengthMm: 30_000, massMg: 300_000 });
    expect(shareOf(made, 'tail')).toMatchObject({ lengthMm: 2000, massMg: 20_000 });
    expect(shareOf(made, 'edge trim')).toMatchObject({ lengthMm: 0, massMg: 60_000 });
    expect(shareOf(made, 'cut')).toMatchObject({ side: 'out', lengthMm: 300_000, massMg: 2_940_000 });
    expect(made.made.map(({ widthUm, lengthMm, massMg }) => [widthUm, lengthMm, massMg])).toEqual([
      [490_000, 300_000, 1_470_000],
      [490_000, 300_000, 1_470_000],
    ]);
  });

  it('jumps over what is cut out, joins the ends and winds no bad place', () => {
    const places = [{ fromMm: 100_000, toMm: 101_000, fromUm: 0, toUm: null, kind: 'flag' }];
    const cutOuts = [{ fromMm: 100_000, toMm: 101_000, kind: 'flag' }];
    const made = cutSet(roll({ places }), set({ cutOuts }));
    expect(made.usedMm).toBe(301_000);
    expect(shareOf(made, 'cut-out')).toMatchObject({ lengthMm: 1000 });
    expect(made.made.map(({ splices, places: map }) => [splices, map])).toEqual([
      [1, []],
      [1, []],
    ]);
  });

  it('needs no join where the cut-out lies at the beginning of the set', () => {
    const made = cutSet(roll(), set({ cutOuts: [{ fromMm: 0, toMm: 5000, kind: 'flag' }] }));
    expect(made.made[0]?.splices).toBe(0);
    expect(made.usedMm).toBe(305_000);
  });

  it('winds the map of its part the other way round', () => {
    const places = [{ fromMm: 0, toMm: 40_000, fromUm: 20_000, toUm: 22_000, kind: 'streak' }];
    const made = cutSet(roll({ places }), set());
    const part = { fromMm: 0, toMm: 300_000, fromUm: 10_000, toUm: 500_000 };
    expect(made.made[0]?.places).toEqual(inherited(places, part));
    expect(made.made[0]?.places).toEqual([
      { fromMm: 260_000, toMm: null, fromUm: 10_000, toUm: 12_000, kind: 'streak' },
    ]);
    expect(made.made[1]?.places).toEqual([]);
  });

  it('makes a short roll shorter and loses the rest of its lane', () => {
    const strips = [strip(10, 500, { shortMm: 100_000 }), strip(500, 990)];
    const made = cutSet(roll(), set({ strips }));
    expect(made.made.map(({ lengthMm }) => lengthMm)).toEqual([100_000, 300_000]);
    expect(shareOf(made, 'short roll')).toMatchObject({ side: 'loss', lengthMm: 0, massMg: 980_000 });
    expect(shareOf(made, 'cut')).toMatchObject({ lengthMm: 300_000, massMg: 1_960_000 });
  });

  it('loses the metres of a set of which nothing is good', () => {
    const strips = [strip(10, 500, { scrap: 'wrinkles' }), strip(500, 990, { scrap: 'wrinkles' })];
    const made = cutSet(roll(), set({ strips }));
    expect(made.made).toEqual([]);
    expect(shareOf(made, 'scrap: wrinkles')).toMatchObject({ lengthMm: 300_000, massMg: 2_940_000 });
    expect(shareOf(made, 'cut')).toBeUndefined();
  });

  it('weighs nothing of a roll that nobody has weighed', () => {
    const made = cutSet(roll({ massMg: undefined }), set());
    expect(made.shares.every(({ massMg }) => massMg === 0)).toBe(true);
  });
});

/** A random roll with a set on it that it is long enough for. */
const anyCase = fc
  .record({
    mass: fc.integer({ min: 0, max: 2_000_000_000 }),
    passedMm: fc.integer({ min: 0, max: 50_000 }),
    tailMm: fc.integer({ min: 0, max: 5000 }),
    lengthMm: fc.integer({ min: 1, max: 700_000 }),
    spareMm: fc.oneof(fc.constant(0), fc.integer({ min: 0, max: 900_000 })),
    widths: fc.array(
      fc.record({
        um: fc.integer({ min: 1000, max: 100_000 }),
        waste: fc.boolean(),
        scrap: fc.option(fc.constantFrom('wrinkles', 'dirt'), { nil: undefined }),
        short: fc.option(fc.double({ min: 0.001, max: 1, noNaN: true }), { nil: undefined }),
      }),
      { minLength: 1, maxLength: 9 },
    ),
    cuts: fc.array(fc.tuple(fc.integer({ min: 0, max: 100_000 }), fc.integer({ min: 1, max: 9000 })), {
      maxLength: 3,
    }),
    trims: fc.tuple(fc.integer({ min: 0, max: 20_000 }), fc.integer({ min: 0, max: 20_000 })),
  })
  .map(({ mass, passedMm, tailMm, lengthMm, spareMm, widths, cuts, trims }) => {
    let at = 0;
    const cutOuts = cuts.map(([gap, long]) => {
      const cutOut = { fromMm: at + gap, toMm: at + gap + long, kind: 'flag' };
      at = cutOut.toMm;
      return cutOut;
    });
    let edge = trims[0];
    const strips = widths.map(({ um, waste, scrap, short }) => {
      edge += um;
      const shortMm = short === undefined ? undefined : Math.max(1, Math.floor(short * lengthMm));
      return { fromUm: edge - um, toUm: edge, waste, scrap, shortMm };
    });
    const taken: SetTaken = { passedMm, threadUp: true, lengthMm, tailMm, cutOuts, strips };
    const lost = cutOuts.reduce((sum, { fromMm, toMm }) => sum + toMm - fromMm, 0);
    const long = passedMm + lengthMm + tailMm + lost + spareMm;
    return { taken, on: roll({ widthUm: edge + trims[1], lengthMm: long, massMg: mass || undefined }) };
  });

describe('any set', () => {
  it('accounts for every metre and every milligram that it takes', () => {
    fc.assert(
      fc.property(anyCase, ({ taken, on }) => {
        const made = cutSet(on, taken);
        const sum = (pick: (share: (typeof made.shares)[number]) => number) =>
          made.shares.reduce((total, share) => total + pick(share), 0);
        expect(sum((share) => share.lengthMm)).toBe(made.usedMm);
        const whole = made.usedMm >= on.lengthMm;
        const grams = on.massMg ?? 0;
        expect(sum((share) => share.massMg)).toBe(
          whole ? grams : Math.round((grams * made.usedMm) / on.lengthMm),
        );
        const out = made.shares
          .filter(({ side }) => side === 'out')
          .reduce((t, share) => t + share.massMg, 0);
        expect(made.made.reduce((total, one) => total + one.massMg, 0)).toBe(out);
        expect(made.shares.every(({ massMg, lengthMm }) => massMg >= 0 && lengthMm >= 0)).toBe(true);
      }),
      { seed: 4, numRuns: 500 },
    );
  });

  it('shares whole amounts so that nothing is lost to rounding', () => {
    fc.assert(
      fc.property(fc.nat(1e9), fc.array(fc.nat(1e13), { minLength: 1, maxLength: 40 }), (amount, weights) => {
        const parts = shared(amount, weights);
        const all = weights.some((weight) => weight > 0) ? amount : 0;
        expect(parts.reduce((a, b) => a + b, 0)).toBe(all);
      }),
      { seed: 5 },
    );
  });

  it('can be put back: the map is as it was', () => {
    const before: BadPlace[] = [
      { fromMm: 0, toMm: 2_600_000, fromUm: 300_000, toUm: 306_000, kind: 'streak' },
      { fromMm: 100, toMm: null, fromUm: 0, toUm: 5000, kind: 'gauge band' },
    ];
    expect(putBack(usedFrom(before, 300_000), before, 300_000)).toEqual(before);
    const fieldsElsewhere = before.map(({ kind, toUm, fromUm, toMm, fromMm }) => ({
      kind,
      toUm,
      fromUm,
      toMm,
      fromMm,
    }));
    expect(putBack(usedFrom(before, 300_000), fieldsElsewhere, 300_000)).toEqual(before);
    const more = { fromMm: 10, toMm: 20, fromUm: 0, toUm: null, kind: 'flag' };
    const edited = [...usedFrom(before, 300_000), more];
    expect(putBack(edited, before, 300_000)).toContainEqual({ ...more, fromMm: 300_010, toMm: 300_020 });
  });
});
