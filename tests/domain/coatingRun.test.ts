// A coating run laid out by hand, and random ones in which every metre of the base rolls must turn up once.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type BaseTaken, layRun, type Piece, type RunLoss } from '../../src/domain/coatingRun.ts';
import { type BadPlace, placesOnRoll } from '../../src/domain/rollMap.ts';

const gel: BadPlace = { fromMm: 5000, toMm: 6000, fromUm: 10, toUm: 20, kind: 'gel' };
const START: RunLoss = { cause: 'coating start-up', lengthMm: 1000, atMm: 0 };

describe('a coating run', () => {
  test('of one roll reverses its map behind the start-up loss', () => {
    const laid = layRun([{ lengthMm: 10_000, places: [gel] }], [START], [9000]);
    expect(laid).toMatchObject({
      ok: true,
      run: { jumbos: [{ lengthMm: 9000, pieces: [{ base: 0, fromMm: 1000, toMm: 10_000 }] }] },
    });
    if (laid.ok) expect(laid.run.jumbos[0]?.map).toEqual([{ ...gel, fromMm: 4000, toMm: 5000 }]);
  });

  test('of two rolls has a join where they meet, and deals the web out to the jumbos in turn', () => {
    const bases = [
      { lengthMm: 10_000, places: [gel] },
      { lengthMm: 6000, places: [] },
    ];
    const laid = layRun(bases, [START, { cause: 'torn web', lengthMm: 500, atMm: 12_000 }], [6000, 8500]);
    if (!laid.ok) throw new Error(laid.why);
    expect(laid.run.jumbos.map(({ pieces }) => pieces)).toEqual([
      [{ base: 0, fromMm: 1000, toMm: 7000 }],
      [
        { base: 0, fromMm: 7000, toMm: 10_000 },
        { base: 1, fromMm: 0, toMm: 2000 },
        { base: 1, fromMm: 2500, toMm: 6000 },
      ],
    ]);
    expect(laid.run.jumbos[0]?.map).toEqual([{ ...gel, fromMm: 1000, toMm: 2000 }]);
    expect(laid.run.jumbos[1]?.map.map(({ fromMm, toMm, kind }) => [fromMm, toMm, kind])).toEqual([
      [5000, 6000, 'join'],
      [3000, 4000, 'join'],
    ]);
    expect(laid.run.losses).toEqual([
      { cause: 'coating start-up', pieces: [{ base: 0, fromMm: 0, toMm: 1000 }] },
      { cause: 'torn web', pieces: [{ base: 1, fromMm: 2000, toMm: 2500 }] },
    ]);
  });

  test('that does not add up says by how much', () => {
    expect(layRun([{ lengthMm: 10_000, places: [] }], [START], [8000])).toEqual({
      ok: false,
      why: 'unbalanced',
      missingMm: 1000,
    });
    expect(layRun([{ lengthMm: 10_000, places: [] }], [START], [9500])).toEqual({
      ok: false,
      why: 'unbalanced',
      missingMm: -500,
    });
  });

  test('with losses on top of each other is none', () => {
    const over: RunLoss = { cause: 'skip', lengthMm: 500, atMm: 800 };
    expect(layRun([{ lengthMm: 10_000, places: [] }], [START, over], [8500])).toEqual({
      ok: false,
      why: 'losses-overlap',
    });
  });

  test('uses every metre of its base rolls once, and keeps bad places where they are on the film', () => {
    const base = fc.integer({ min: 2000, max: 4000 }).chain((lengthMm) =>
      fc.record({
        lengthMm: fc.constant(lengthMm),
        places: fc.array(
          fc
            .tuple(fc.integer({ min: 0, max: lengthMm - 2 }), fc.integer({ min: 1, max: 900 }))
            .map(([fromMm, long]) => ({
              fromMm,
              toMm: Math.min(lengthMm, fromMm + long),
              fromUm: 0,
              toUm: 50,
              kind: 'gel',
            })),
          { maxLength: 4 },
        ),
      }),
    );
    const shares = fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(
        fc.array(base, { minLength: 1, maxLength: 3 }),
        fc.nat(900),
        fc.nat(700),
        shares,
        (bases, start, tail, parts) => {
          const losses = [
            { ...START, lengthMm: start },
            { cause: 'tail', lengthMm: tail, atMm: null },
          ];
          const whole = bases.reduce((sum, { lengthMm }) => sum + lengthMm, 0) - start - tail;
          const jumbos = dealt(whole, parts);
          const laid = layRun(bases, losses, jumbos);
          if (!laid.ok) throw new Error(laid.why);
          const { run } = laid;
          expect(run.jumbos.map(({ lengthMm }) => lengthMm)).toEqual(jumbos);
          const pieces = [...run.jumbos, ...run.losses].flatMap((one) => one.pieces);
          bases.forEach(({ lengthMm }, index) => {
            expect(covered(pieces.filter((piece) => piece.base === index))).toBe(lengthMm);
          });
          for (const jumbo of run.jumbos) expect(onFilm(jumbo, 'gel')).toEqual(gelsOf(bases, jumbo.pieces));
        },
      ),
      { seed: 9, numRuns: 150 },
    );
  });
});

function dealt(whole: number, parts: number[]): number[] {
  const sum = parts.reduce((a, b) => a + b, 0);
  const lengths = parts.slice(1).map((part) => Math.floor((whole * part) / sum));
  return [whole - lengths.reduce((a, b) => a + b, 0), ...lengths];
}

/** Length of these stretches; a test of its own that none overlap. */
function covered(pieces: Piece[]): number {
  const sorted = [...pieces].sort((a, b) => a.fromMm - b.fromMm);
  sorted.forEach((piece, i) => {
    const before = sorted[i - 1];
    if (before && piece.fromMm < before.toMm) throw new Error('a metre is used twice');
  });
  return sorted.reduce((sum, { fromMm, toMm }) => sum + toMm - fromMm, 0);
}

type Jumbo = { lengthMm: number; pieces: Piece[]; map: BadPlace[] };

/** Each mm of the jumbo's bad places as "base:mm" of the film, walking its pieces from the inner end. */
function onFilm({ lengthMm, pieces, map }: Jumbo, kind: string): string[] {
  const film: string[] = pieces.flatMap(({ base, fromMm, toMm }) =>
    Array.from({ length: toMm - fromMm }, (_, i) => `${base}:${fromMm + i}`),
  );
  const found = placesOnRoll(map, { lengthMm, widthUm: 1000 })
    .filter((place) => place.kind === kind)
    .flatMap((place) =>
      Array.from({ length: place.toMm - place.fromMm }, (_, i) => film[lengthMm - 1 - place.fromMm - i]!),
    );
  return [...new Set(found)].sort();
}

function gelsOf(bases: BaseTaken[], pieces: Piece[]): string[] {
  const found = pieces.flatMap(({ base, fromMm, toMm }) =>
    (bases[base]?.places ?? []).flatMap((place) => {
      const from = Math.max(place.fromMm, fromMm);
      const to = Math.min(place.toMm ?? 0, toMm);
      return Array.from({ length: Math.max(0, to - from) }, (_, i) => `${base}:${from + i}`);
    }),
  );
  return [...new Set(found)].sort();
}
