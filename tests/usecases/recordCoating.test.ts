// A coating record: metres and milligrams that add up, maps that follow, checks that hold, and what is refused.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { RESOURCES } from '../../src/domain/resources.ts';
import { addMonths, type IsoDate } from '../../src/domain/units.ts';
import type { TypedCoating } from '../../src/usecases/coating/coating.ts';
import { recordCoating } from '../../src/usecases/coating/recordCoating.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { getRow } from '../../src/usecases/tables/listRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let number = 0;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});

/** Film of BF-01 (CP-10 is coated on it): 1050 mm x 12,000 m, 79.097 kg, streak in its first 500 m. */
async function film(more: Record<string, string> = {}): Promise<string> {
  const code = `T${++number}`;
  const typed = {
    code,
    kind: 'base',
    item: 'BF-01',
    widthUm: '1050',
    lengthMm: '12000',
    massKg: '79.097',
    status: 'released',
    costPerRoll: '775',
  };
  const saved = await saveRow(db, RESOURCES.rolls, {
    ...typed,
    rollMap: '100-500 m, 300-306 mm, streak',
    ...more,
  });
  if (!saved.ok) throw new Error(JSON.stringify(saved.faults));
  return code;
}
const HEAD = { product: 'CP-10', coatedOn: '2027-03-01', lot: 'INK-7', status: 'in quarantine' };
const send = (typed: Partial<TypedCoating>, requestKey = `coating-${++number}-key`) =>
  recordCoating(
    db,
    { losses: [], jumbos: [], bases: [], ...typed, head: { ...HEAD, ...typed.head } },
    { by: 'Coater', requestKey, today: TODAY },
  );
const done = async (typed: Partial<TypedCoating>) => {
  const sent = await send(typed);
  if (!sent.ok) throw new Error(JSON.stringify(sent.faults));
  const movements = await db('movements').where('entry', sent.entry).orderBy('id');
  const made = [...new Set(movements.filter(({ side }) => side === 'in').map(({ roll }) => roll as string))];
  return { movements, made, rolls: await Promise.all(made.map((code) => getRow(db, RESOURCES.rolls, code))) };
};
const wrong = async (typed: Partial<TypedCoating>) => {
  const before = await db('entries').count({ n: '*' });
  const sent = await send(typed);
  if (sent.ok) throw new Error('it was recorded');
  expect(await db('entries').count({ n: '*' })).toEqual(before);
  return sent.faults.map(({ field, wrong: what }) => `${field}: ${what}`);
};

describe('a coating record', () => {
  it('makes a coated roll of a base roll, its map reversed behind the start-up loss', async () => {
    const base = await film();
    const { movements, rolls } = await done({
      head: { startUpMm: '200' },
      bases: [{ roll: base, takenMm: '' }],
    });
    const product = await getRow(db, RESOURCES.products, 'CP-10');
    expect(rolls[0]).toMatchObject({
      kind: 'coated',
      item: 'CP-10',
      widthUm: 1_050_000,
      lengthMm: 11_800_000,
      lot: 'INK-7',
      status: 'in quarantine',
      useBy: addMonths(TODAY, product?.shelfLifeMonths as number),
      rollMap: [{ fromMm: 11_500_000, toMm: null, fromUm: 300_000, toUm: 306_000, kind: 'streak' }],
    });
    expect(await getRow(db, RESOURCES.rolls, base)).toMatchObject({
      status: 'used up',
      lengthMm: 0,
      massKg: 0,
      rollMap: [],
    });
    const filmMg = movements.filter(({ cause }) => cause !== 'coating').map(({ mass_mg }) => Number(mass_mg));
    expect(filmMg.reduce((a, b) => a + b, 0)).toBe(
      -79_097_000 + Number(movements.find(({ cause }) => cause === 'made').mass_mg),
    );
    // 4 g/m2 on 1050 mm less both coat-free edges
    const coated = 1.05 - Number(product?.coatFreeLeftUm) / 1e6 - Number(product?.coatFreeRightUm) / 1e6;
    expect(Number(movements.find(({ cause }) => cause === 'coating').mass_mg)).toBe(
      Math.round(coated * 11_800 * 4000),
    );
  });

  it('takes only a part of a base roll, whose rest keeps its map, its mass and its place in stock', async () => {
    const base = await film();
    const { movements } = await done({ head: { startUpMm: '0' }, bases: [{ roll: base, takenMm: '4000' }] });
    const rest = await getRow(db, RESOURCES.rolls, base);
    expect(rest).toMatchObject({ status: 'released', lengthMm: 8_000_000, rollMap: [] });
    expect(rest?.massKg as number).toBeCloseTo((79.097 * 8) / 12, 5);
    expect(movements.find(({ side }) => side === 'out')).toMatchObject({
      roll: base,
      cause: 'coated',
      length_mm: -4_000_000,
    });
  });

  it('joins two base rolls, names their parents and where they meet, and loses what was lost by cause', async () => {
    const [first, second] = [await film(), await film({ rollMap: '' })];
    const { movements, made, rolls } = await done({
      head: { startUpMm: '200' },
      bases: [{ roll: first }, {}, { roll: second, takenMm: '6000' }],
      losses: [
        { cause: 'torn web', lengthMm: '50', atMm: '1000' },
        { cause: 'tail', lengthMm: '150' },
      ],
      jumbos: [
        { code: '', madeMm: '10000' },
        { madeMm: '7600', code: 'J-2' },
      ],
    });
    expect(made).toEqual([expect.stringMatching(/^C\d{6}$/), 'J-2']);
    const parents = movements
      .filter(({ cause }) => cause === 'made')
      .map(({ roll, made_of, length_mm }) => [roll, made_of, Number(length_mm)]);
    expect(parents).toEqual([
      [made[0], first, 10_000_000],
      ['J-2', first, 1_750_000],
      ['J-2', second, 5_850_000],
    ]);
    expect(
      movements
        .filter(({ side }) => side === 'loss')
        .map(({ roll, cause, length_mm }) => [roll, cause, Number(length_mm)]),
    ).toEqual([
      [first, 'coating start-up', -200_000],
      [first, 'torn web', -50_000],
      [second, 'tail', -150_000],
    ]);
    const joins = rolls.map((roll) =>
      ((roll?.rollMap ?? []) as { kind: string; fromMm: number }[])
        .filter(({ kind }) => kind === 'join')
        .map(({ fromMm }) => fromMm),
    );
    expect(joins).toEqual([[9_199_500], [5_849_500]]);
    expect(await db('rolls').whereIn('code', made).orderBy('code').pluck('splices')).toEqual([1, 1]);
  });

  it('believes the scale: the coating is what the coated roll weighs more than its film', async () => {
    const { movements, rolls } = await done({
      head: { startUpMm: '0' },
      bases: [{ roll: await film() }],
      jumbos: [{ massKg: '130' }],
    });
    expect(rolls[0]?.massKg).toBe(130);
    expect(Number(movements.find(({ cause }) => cause === 'coating').mass_mg)).toBe(130_000_000 - 79_097_000);
    expect(await wrong({ bases: [{ roll: await film() }], jumbos: [{ massKg: '60' }] })).toEqual([
      expect.stringMatching(/^massKg: its film alone is 78\./),
    ]);
  });

  it('holds what was coated with a lot outside its limits, and says why', async () => {
    const checks = {
      viscosity: '180',
      viscosityMin: '120',
      viscosityMax: '160',
      solidsPct: '30',
      solidsMinPct: '29',
      solidsMaxPct: '31',
    };
    const held = await done({ head: { ...checks, status: 'released' }, bases: [{ roll: await film() }] });
    expect(held.rolls[0]).toMatchObject({
      status: 'on hold',
      note: 'viscosity 180 mPa s is above 160 mPa s',
    });
    const released = await done({
      head: { ...checks, viscosity: '160', status: 'released' },
      bases: [{ roll: await film() }],
    });
    expect(released.rolls[0]).toMatchObject({ status: 'released', note: null });
  });

  it('marks coat-free edges that are wider than the product counts on', async () => {
    const { rolls } = await done({
      head: { startUpMm: '0', coatFreeLeftUm: '30' },
      bases: [{ roll: await film({ rollMap: '' }) }],
    });
    expect(rolls[0]?.rollMap).toEqual([
      { fromMm: 0, toMm: null, fromUm: 0, toUm: 30_000, kind: 'coat-free edge' },
    ]);
  });

  it('carries the worth of the film over, and adds that of the coating', async () => {
    const { rolls } = await done({
      head: { startUpMm: '0' },
      bases: [{ roll: await film(), takenMm: '6000' }],
    });
    const product = await getRow(db, RESOURCES.products, 'CP-10');
    const coated = 1.05 - Number(product?.coatFreeLeftUm) / 1e6 - Number(product?.coatFreeRightUm) / 1e6;
    expect(rolls[0]?.costPerRoll as number).toBeCloseTo(
      387.5 + coated * 6000 * Number(product?.coatingCostPerM2),
      1,
    );
  });

  it('is written once, sent twice at once', async () => {
    const bases = [{ roll: await film() }];
    const both = await Promise.all([send({ bases }, 'same-coating'), send({ bases }, 'same-coating')]);
    expect(both[0].ok && both[1].ok && both[0].entry === both[1].entry).toBe(true);
  });
});

describe('a coating record is refused', () => {
  it.each<[string, Record<string, string>, Record<string, string>, string]>([
    ['more length than the base roll holds', {}, { takenMm: '12001' }, 'takenMm: roll $ holds 12000 m'],
    [
      'film of a grade that the product is not coated on',
      { item: 'BF-09' },
      {},
      'roll: roll $ is BF-09, on which CP-10 is not coated',
    ],
    ['a roll on hold', { status: 'on hold' }, {}, 'roll: roll $ is on hold'],
    ['a roll in quarantine', { status: 'in quarantine' }, {}, 'roll: roll $ is in quarantine'],
    ['a roll past its use-by day', { useBy: '2027-02-28' }, {}, 'roll: roll $ was to be used by 2027-02-28'],
    ['a coated roll', { kind: 'coated', item: 'CP-10' }, {}, 'roll: roll $ is no base film: it is coated'],
    ['a roll that was never weighed', { massKg: '' }, {}, 'roll: the mass of roll $ is not entered'],
  ])('with %s', async (_what, more, taken, words) => {
    const base = await film(more);
    expect(await wrong({ bases: [{ roll: base, ...taken }] })).toEqual([words.replace('$', base)]);
  });

  it('with no roll, an unknown one, the same twice or two widths', async () => {
    expect(await wrong({})).toEqual(['roll: no base roll is named']);
    expect(await wrong({ bases: [{ roll: 'nobody' }] })).toEqual(['roll: there is no roll nobody']);
    const base = await film();
    expect(await wrong({ bases: [{ roll: base }, { roll: base }] })).toEqual([
      `roll: ${base} is named twice`,
    ]);
    const other = await film({ item: 'BF-02', widthUm: '820', rollMap: '' });
    expect(await wrong({ bases: [{ roll: base }, { roll: other }] })).toEqual([
      'roll: the base rolls are 1050 and 820 mm wide',
    ]);
  });

  it('when metres are missing or too many', async () => {
    const bases = [{ roll: await film() }];
    expect(await wrong({ head: { startUpMm: '100' }, bases, jumbos: [{ madeMm: '11000' }] })).toEqual([
      'madeMm: 900 m are neither in a coated roll nor lost: 12000 m were taken, 100 m lost',
    ]);
    expect(await wrong({ head: { startUpMm: '100' }, bases, jumbos: [{ madeMm: '12000' }] })).toEqual([
      'madeMm: 100 m more came out than went in: 12000 m were taken, 100 m lost',
    ]);
    expect(await wrong({ head: { startUpMm: '12000' }, bases })).toEqual([
      'lengthMm: all 12000 m that were taken are lost',
    ]);
  });

  it('with a number that is taken, a limit without a value, or a release without checks', async () => {
    const bases = [{ roll: await film() }];
    expect(await wrong({ bases, jumbos: [{ code: 'R7030' }] })).toEqual([
      'code: roll R7030 is there already',
    ]);
    expect(await wrong({ head: { viscosityMax: '160' }, bases })).toEqual([
      'viscosity: there is a limit and no value',
    ]);
    expect(await wrong({ head: { status: 'released' }, bases })).toEqual([
      'viscosity: it is to be released and was not measured',
      'solidsPct: it is to be released and was not measured',
    ]);
  });
});
