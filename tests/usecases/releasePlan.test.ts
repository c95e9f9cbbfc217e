// Releasing runs of a plan to the machine: what is checked, what is reserved, and who wins when two want one roll.
import type { Knex } from 'knex';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { bookMovements, bookStatus, openEntry } from '../../src/store/ledger.ts';
import { insertFinishedPlan } from '../../src/store/plans.ts';
import { findReleases, findRuns } from '../../src/store/releases.ts';
import { notThereYet } from '../../src/usecases/machine/releaseChecks.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { withdrawRuns } from '../../src/usecases/machine/withdrawRuns.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { readOpenDemand } from '../../src/usecases/planning/readOpenDemand.ts';
import { readPlan } from '../../src/usecases/planning/readPlan.ts';
import { stockAgainstOrders } from '../../src/usecases/planning/stockAgainstOrders.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { act, storePlanOf } from '../support/machine.ts';

const TODAY = '2027-03-01' as IsoDate;
const ORDERS = ['SO-4101', 'SO-4102'];
let db: Knex;
let id: number;
let plan: Plan;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  ({ id, plan } = await storePlanOf(db, TODAY, ORDERS));
}, 60_000);
afterEach(async () => {
  for (const { id: open } of await findReleases(db, { status: 'at the machine' }))
    await withdrawRuns(db, open, { ...act(), runs: 'waiting', reason: 'end of a test' });
});

const release = (more: object = {}) => releasePlan(db, id, { ...act(), runs: 'all', today: TODAY, ...more });
async function released(more: object = {}): Promise<number> {
  const done = await release(more);
  if (!done.ok) throw new Error(JSON.stringify(done.faults));
  return done.id;
}
const rollsOf = ({ runs }: Plan) => [...new Set(runs.flatMap(({ from }) => from.map(({ roll }) => roll)))];
const statusOf = async (order: string) =>
  (await db('order_lines').where('code', order).first('status')).status;
const status = (roll: string, becomes: string) =>
  db.transaction(async (trx) => {
    const entry = await openEntry(trx, { kind: 'status', by: 'test', reason: 'a test' });
    await bookStatus(trx, entry.id, [roll], becomes);
  });

describe('releasing a plan', () => {
  it('takes its runs and rolls, and says so in the ledger', async () => {
    const number = await released();
    const runs = await findRuns(db, [number]);
    expect(
      runs.map(({ sequence, setsPlanned, setsCut, status: stands }) => [
        sequence,
        setsPlanned,
        setsCut,
        stands,
      ]),
    ).toEqual(plan.runs.map((run) => [run.sequence, run.sets, 0, 'waiting']));
    expect(runs.map(({ run }) => run)).toEqual(plan.runs);
    const entry = await db('entries').where('kind', 'released to the machine').orderBy('id', 'desc').first();
    expect(entry).toMatchObject({ by_whom: 'Tester', details: { plan: id } });
  });

  it('reserves: planning and every balance leave out the rolls and what the orders get of them', async () => {
    const before = (await readOpenDemand(db, TODAY)).find(({ code }) => code === 'CP-10');
    const balance = (await stockAgainstOrders(db, TODAY)).find(({ product }) => product === 'CP-10');
    const number = await released();
    for (const order of plan.orders)
      expect(await statusOf(order.id)).toBe(order.short > 0 ? 'open' : 'planned');
    const after = (await readOpenDemand(db, TODAY)).find(({ code }) => code === 'CP-10');
    const balanceAfter = (await stockAgainstOrders(db, TODAY)).find(({ product }) => product === 'CP-10');
    expect(after?.stockRolls).toBe((before?.stockRolls ?? 0) - rollsOf(plan).length);
    expect(balanceAfter?.coatedM2).toBeLessThan(balance?.coatedM2 as number);
    expect(balanceAfter?.areaM2).toBeLessThan(balance?.areaM2 as number);
    const problem = await buildProblem(db, { products: ['CP-10'], planOn: TODAY });
    expect(problem.rolls?.map((roll) => roll.id).filter((roll) => rollsOf(plan).includes(roll))).toEqual([]);
    await withdrawRuns(db, number, { ...act(), runs: 'waiting', reason: 'machine down' });
    expect(await stockAgainstOrders(db, TODAY)).toContainEqual(balance);
    expect(await statusOf('SO-4101')).toBe('open');
    expect((await findReleases(db, { plan: id })).at(-1)?.status).toBe('withdrawn');
  });

  it('plans only the rest of an order that is covered in part, with the tolerance of its whole', async () => {
    const first = plan.runs[0] as Plan['runs'][number];
    await released({ runs: [first.sequence] });
    const problem = await buildProblem(db, { orders: ORDERS, planOn: TODAY });
    for (const order of problem.orders) {
      const made = first.sets * first.strips.filter((strip) => strip.order === order.id).length;
      const row = await db('order_lines').where('code', order.id).first();
      expect(order.rolls).toBe(row.rolls - made);
      const most = Math.floor((row.rolls * (100 + row.over_pct)) / 100 + 1e-9);
      expect(Math.floor((order.rolls * (100 + (order.overPct ?? 0))) / 100 + 1e-9)).toBe(most - made);
    }
  });

  it('is done once, however often the form is sent', async () => {
    const once = act();
    const sent = await Promise.all([release(once), release(once), release(once)]);
    expect(new Set(sent.map((one) => (one.ok ? one.id : 0))).size).toBe(1);
    expect(await findReleases(db, { status: 'at the machine' })).toHaveLength(1);
  });

  it('lets one of two win who release plans with a roll in common, and names roll and holder to the other', async () => {
    const { problem } = await readPlan(db, id);
    const copy = { title: 'the same again', products: ['CP-10'], problem, secondsLimit: 1, plan };
    const other = await insertFinishedPlan(db, copy);
    const common = rollsOf(plan);
    const asked = await Promise.allSettled([
      release(act('Anna')),
      releasePlan(db, other, { ...act('Ben'), runs: 'all', today: TODAY }),
    ]);
    const won = asked.findIndex((one) => one.status === 'fulfilled' && one.value.ok);
    const lost = asked.find((one) => one.status === 'rejected');
    expect(asked.filter((one) => one.status === 'fulfilled')).toHaveLength(1);
    expect(lost?.reason).toMatchObject({
      code: 'roll-reserved',
      facts: { by: won === 0 ? 'Anna' : 'Ben', roll: expect.stringMatching(common.join('|')) },
    });
    expect(lost?.reason.message).toContain(common[0]);
  }, 60_000);

  it.each([
    ['on hold', 'is on hold'],
    ['in quarantine', 'is in quarantine'],
  ])('refuses a roll that is %s today', async (becomes, words) => {
    const [roll] = rollsOf(plan) as [string];
    await status(roll, becomes);
    expect(await release()).toEqual({
      ok: false,
      faults: [{ about: roll, wrong: words, right: expect.any(String) }],
    });
    await status(roll, 'released');
  });

  it('refuses a roll that is past its use-by day, is shorter, or has another map, and says which', async () => {
    const [roll] = rollsOf(plan) as [string];
    const row = await db('rolls').where('code', roll).first();
    await db('rolls').where('code', roll).update({ use_by: '2027-02-28' });
    expect(await release()).toMatchObject({
      faults: [{ about: roll, wrong: 'was to be used by 2027-02-28' }],
    });
    await db('rolls').where('code', roll).update({ use_by: row.use_by });
    const place = { roll, position: 99, from_mm: 5000, to_mm: 6000, from_um: 0, to_um: 9000, kind: 'dent' };
    await db('roll_defects').insert(place);
    expect(await release()).toMatchObject({
      faults: [{ wrong: expect.stringContaining('another roll map') }],
    });
    await db('roll_defects').where({ roll, position: 99 }).delete();
    const move = (lengthMm: number) =>
      db.transaction(async (trx) => {
        const entry = await openEntry(trx, { kind: 'counted', by: 'test' });
        await bookMovements(trx, entry.id, [{ roll, side: 'loss', cause: 'counted', lengthMm, massMg: 0 }]);
      });
    await move(-1000);
    expect(await release()).toMatchObject({
      faults: [{ wrong: expect.stringMatching(/holds .* m now, .* m when/) }],
    });
    await move(1000);
    expect((await release()).ok).toBe(true);
  });

  it('refuses orders that were cancelled or changed since', async () => {
    await db('order_lines').where('code', 'SO-4101').update({ status: 'cancelled' });
    expect(await release()).toMatchObject({
      faults: [{ about: 'SO-4101', wrong: 'is cancelled, not open' }],
    });
    await db('order_lines').where('code', 'SO-4101').update({ status: 'open', length_mm: 299_000 });
    expect(await release()).toMatchObject({
      faults: [{ wrong: expect.stringContaining('another product, width') }],
    });
    await db('order_lines').where('code', 'SO-4101').update({ length_mm: 300_000 });
  });

  it('refuses a run of which an earlier one on the same roll stays behind', async () => {
    const later = plan.runs.find((run) =>
      plan.runs.some((other) =>
        other.from.some((f) => run.from.some((g) => g.roll === f.roll && g.startM > f.startM)),
      ),
    );
    expect(later).toBeDefined();
    expect(await release({ runs: [later?.sequence] })).toMatchObject({
      faults: [{ about: `run ${later?.sequence}`, wrong: expect.stringContaining('lies behind run') }],
    });
  });

  it('names runs whose film is bought or still to be coated, and releases the rest when all are asked for', async () => {
    const problem = await buildProblem(db, { orders: ORDERS, planOn: TODAY });
    const coating = [{ roll: 'R7001', product: 'CP-10', lengthM: 7266 }];
    const [first] = plan.runs as [Plan['runs'][number]];
    const run = { ...first, from: [{ roll: 'R7001', sets: first.sets, startM: 30 }] };
    expect(notThereYet(run, { ...plan, coating })).toBe('its film R7001 is still to be coated');
    const offer = problem.offers?.[0]?.id as string;
    const bought = { offer, widthMm: 1050, rolls: 1, kg: 1, cost: 1 };
    const ofOffer = { ...run, from: [{ roll: `${offer}#1`, sets: 1, startM: 30 }] };
    expect(notThereYet(ofOffer, { ...plan, purchases: [bought] })).toContain('is to be bought');
    expect(notThereYet(first, plan)).toBeUndefined();
  });
});

describe('withdrawing', () => {
  it('frees single runs, and refuses what was never released or is withdrawn already', async () => {
    const number = await released();
    const last = Math.max(...plan.runs.map(({ sequence }) => sequence));
    await withdrawRuns(db, number, { ...act(), runs: [last], reason: 'rush order' });
    expect((await findRuns(db, [number])).find(({ sequence }) => sequence === last)?.status).toBe(
      'withdrawn',
    );
    const again = withdrawRuns(db, number, { ...act(), runs: [last], reason: 'twice' });
    await expect(again).rejects.toMatchObject({ code: 'run-begun' });
    await expect(withdrawRuns(db, number, { ...act(), runs: [77], reason: 'none' })).rejects.toMatchObject({
      code: 'run-not-released',
    });
    await expect(withdrawRuns(db, 9999, { ...act(), runs: 'waiting', reason: 'none' })).rejects.toMatchObject(
      { code: 'not-found' },
    );
  });
});
