// The demo plant: that it passes the program's own checks, and that every planted situation is in the data.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import scenario from '../../seed/demo-plant.json' with { type: 'json' };
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import { addDays, type IsoDate } from '../../src/domain/units.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { getRow, listRows } from '../../src/usecases/tables/listRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { databaseServer, freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const all = { page: 1, pageSize: 1000, sort: 'code', descending: false, filters: {}, search: '' };

describe(`the demo plant on the ${databaseServer().name} database`, () => {
  let db: Knex;
  const roll = async (code: string) => (await getRow(db, RESOURCES.rolls, code)) as Record<string, unknown>;
  const areaM2 = (rows: Record<string, unknown>[]) =>
    rows.reduce((sum, row) => sum + ((row.widthUm as number) * (row.lengthMm as number)) / 1e9, 0);

  beforeAll(async () => {
    db = await freshDatabase();
    expect(await seedDemo(db, TODAY)).toBe(true);
  });

  it('says of itself that it is invented', () => {
    expect(scenario.note).toMatch(/invented/i);
  });

  it('holds every row of the scenario', async () => {
    const counts: Record<string, number> = {};
    for (const resource of Object.values(RESOURCES))
      counts[resource.name] = (await listRows(db, resource, all)).total;
    expect(counts).toMatchObject({
      suppliers: 4,
      grades: 12,
      offers: 12,
      slitters: 2,
      products: 10,
      rolls: 40,
      orders: 45,
    });
    expect(counts.customers).toBe(new Set(scenario.orderLines.map((line) => line.customer)).size);
  });

  it('is put into an empty database only', async () => {
    expect(await seedDemo(db, addDays(TODAY, 9))).toBe(false);
    expect((await roll('R7030')).receivedOn).toBe('2027-02-19');
  });

  it('counts dates from the day of seeding', async () => {
    expect((await roll('R7030')).useBy).toBe(addDays(TODAY, 354));
    expect((await getRow(db, RESOURCES.orders, 'SO-4107'))?.dueOn).toBe(addDays(TODAY, 3));
  });

  it('has the streak of R7030 in its first 2600 m only', async () => {
    expect((await roll('R7030')).rollMap).toEqual([
      { fromMm: 0, toMm: 2_600_000, fromUm: 300_000, toUm: 306_000, kind: 'lane streak' },
    ]);
  });

  it('has the light lane of R7034 over the full length', async () => {
    expect((await roll('R7034')).rollMap).toEqual([
      { fromMm: 0, toMm: null, fromUm: 610_000, toUm: 640_000, kind: 'light lane' },
    ]);
  });

  it('has the flags of R7033, the edge bead of R7009 and the baggy edge of R7010', async () => {
    expect((await roll('R7033')).rollMap).toMatchObject(
      [1210, 4380, 6902].map((m) => ({ fromMm: m * 1000, kind: 'flag' })),
    );
    expect((await roll('R7009')).rollMap).toMatchObject([{ fromUm: 0, toUm: 4000, kind: 'edge bead' }]);
    expect((await roll('R7010')).rollMap).toMatchObject([
      { fromUm: 1_025_000, toUm: 1_050_000, kind: 'baggy edge' },
    ]);
  });

  it('cuts CP-80 from the film at hand first, and begins one of the ten rolls that its least order asks for', async () => {
    const made = makePlan(await buildProblem(db, { products: ['CP-80'], planOn: TODAY }), {
      secondsLeft: () => 60,
      report: () => {},
    });
    if (!made.ok) throw new Error(JSON.stringify(made.faults));
    expect(made.plan.purchases.map(({ rolls }) => rolls)).toEqual([10]);
    const begun = new Set(made.plan.runs.flatMap((run) => run.from.map((from) => from.roll)));
    expect([...begun].sort()).toEqual(['R7024', 'S3-BF-09-1050#1']);
  });

  it('asks for more CP-80 than released film gives, with a gauge band in one roll and a joined roll in quarantine', async () => {
    const orders = await listRows(db, RESOURCES.orders, { ...all, filters: { product: 'CP-80' } });
    const finishedM2 = orders.rows.reduce(
      (sum, row) => sum + ((row.widthUm as number) * (row.lengthMm as number) * (row.rolls as number)) / 1e9,
      0,
    );
    const released = await listRows(db, RESOURCES.rolls, {
      ...all,
      filters: { item: 'BF-09', status: 'released' },
    });
    expect(finishedM2).toBeGreaterThan(areaM2(released.rows));
    expect((await roll('R7024')).rollMap).toMatchObject([{ kind: 'gauge band' }]);
    expect(await roll('R7023')).toMatchObject({
      status: 'in quarantine',
      rollMap: [{ kind: 'join', fromMm: 1_500_000 }],
    });
  });

  it('offers the narrower BF-07 cheaper than BF-06, and CP-50 only film with 16 weeks of lead time', async () => {
    const offer = async (grade: string) =>
      (await listRows(db, RESOURCES.offers, { ...all, filters: { grade } })).rows[0];
    const [narrow, wide, slow] = [await offer('BF-07'), await offer('BF-06'), await offer('BF-12')];
    expect(narrow?.pricePerKg).toBeLessThan(wide?.pricePerKg as number);
    expect(narrow?.widthUm).toBeLessThan(wide?.widthUm as number);
    expect(slow?.leadTimeDays).toBe(112);
    expect((await getRow(db, RESOURCES.products, 'CP-50'))?.grades).toEqual(['BF-12']);
  });

  it('says "use first" on R7035 and lets R7040 expire soon', async () => {
    expect((await roll('R7035')).note).toContain('use first');
    expect((await roll('R7040')).useBy).toBe(addDays(TODAY, 37));
  });

  it('gives a faultless planning problem for every product, and leaves out held and expired rolls', async () => {
    for (const { id } of scenario.products) {
      const read = parseProblem(await buildProblem(db, { products: [id], planOn: TODAY }));
      expect(read.ok ? [] : read.faults, id).toEqual([]);
    }
    const now = await buildProblem(db, { products: ['CP-90'], planOn: TODAY });
    expect(now.rolls?.map((r) => r.id)).toEqual(['R7025', 'R7026', 'R7027', 'R7035', 'R7040']);
    const later = await buildProblem(db, { products: ['CP-90'], planOn: addDays(TODAY, 38) });
    expect(later.rolls?.map((r) => r.id)).not.toContain('R7040');
    const film = await buildProblem(db, { products: ['CP-10', 'CP-20'], planOn: TODAY });
    expect(film.rolls?.map((r) => r.id)).not.toContain('R7005');
    expect(film.offers?.map((o) => o.grade)).toEqual(['BF-01', 'BF-02', 'BF-03']);
  });

  it('freezes widths, lengths, bad places and tolerances in the units of the file', async () => {
    const problem = await buildProblem(db, { orders: ['SO-4101'], planOn: TODAY });
    expect(problem.orders).toEqual([
      {
        id: 'SO-4101',
        product: 'CP-10',
        widthMm: 83,
        lengthM: 300,
        rolls: 45,
        overPct: 5,
        underPct: 5,
        dueOn: '2027-03-17',
        priority: 'normal',
      },
    ]);
    expect(problem.rolls?.find((r) => r.id === 'R7030')).toMatchObject({
      kind: 'coated',
      item: 'CP-10',
      widthMm: 1050,
      lengthM: 11400,
      useBy: '2028-02-18',
      defects: [{ fromM: 0, toM: 2600, fromMm: 300, toMm: 306, kind: 'lane streak' }],
    });
    expect(problem.slitters[0]).toMatchObject({
      id: 'SL-1',
      maxStrips: 32,
      edgeTrimMinMm: { left: 6, right: 6 },
      leadInM: 30,
    });
  });

  it('refuses a problem without any open order', async () => {
    await expect(buildProblem(db, { orders: ['SO-0000'], planOn: TODAY })).rejects.toThrow(
      /no open order among SO-0000/,
    );
  });

  it('leaves cancelled orders out of the problem', async () => {
    expect(await saveRow(db, RESOURCES.orders, { status: 'cancelled' }, { code: 'SO-4144' })).toMatchObject({
      ok: true,
    });
    const problem = await buildProblem(db, { products: ['CP-95'], planOn: TODAY });
    expect(problem.orders.map((order) => order.id)).toEqual(['SO-4145']);
  });
});
