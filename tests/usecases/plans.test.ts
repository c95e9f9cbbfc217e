// Asking for plans, the queue they wait in, and what is refused; on the real database, without planning anything.
import type { Knex } from 'knex';
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { cancelPlan } from '../../src/usecases/planning/cancelPlan.ts';
import { comparePlans } from '../../src/usecases/planning/comparePlans.ts';
import { listPlans } from '../../src/usecases/planning/listPlans.ts';
import {
  keepProgress,
  nextPlan,
  putBack,
  recoverPlans,
  storeFailure,
  storePlan,
} from '../../src/usecases/planning/planQueue.ts';
import { readOpenDemand } from '../../src/usecases/planning/readOpenDemand.ts';
import { readFinishedPlan, readPlan } from '../../src/usecases/planning/readPlan.ts';
import { requestPlan, requestPlanFromFile } from '../../src/usecases/planning/requestPlan.ts';
import { runPlanAgain } from '../../src/usecases/planning/runPlanAgain.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';
import { pastTheLedger } from '../support/stock.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});
beforeEach(() => db('plans').delete());

const file = (change: object = {}) => JSON.stringify({ ...fixtureDocument(), ...change });
async function queued(): Promise<number> {
  const asked = await requestPlanFromFile(db, file(), '');
  if (!asked.ok) throw new Error(JSON.stringify(asked));
  return asked.id;
}
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code });

describe('asking for a plan of open orders', () => {
  it('freezes the stock and the orders as they are at that moment', async () => {
    const asked = await requestPlan(db, { orders: ['SO-4101', 'SO-4102', 'SO-4101'], seconds: '' }, TODAY);
    expect(asked.ok).toBe(true);
    const id = (asked as { id: number }).id;
    const before = await readPlan(db, id);
    expect(before).toMatchObject({
      status: 'queued',
      title: 'CP-10, 2 orders',
      products: ['CP-10'],
      secondsLimit: 20,
    });
    expect(before.problem.orders.map((order) => order.id)).toEqual(['SO-4101', 'SO-4102']);
    expect(before.problem.rolls?.map((roll) => roll.id)).toContain('R7030');
    const old = await db('rolls').where({ code: 'R7030' }).first('length_mm');
    await pastTheLedger(db, (trx) => trx('rolls').where({ code: 'R7030' }).update({ length_mm: 1000 }));
    expect((await readPlan(db, id)).problem).toEqual(before.problem);
    await pastTheLedger(db, (trx) => trx('rolls').where({ code: 'R7030' }).update(old));
  });

  it.each([
    [{ orders: [], seconds: '' }, 'orders', 'no order is chosen'],
    [{ orders: ['SO-9999'], seconds: '' }, 'orders', 'SO-9999 is not an open order'],
    [{ orders: ['SO-4101'], seconds: '0' }, 'seconds', '"0" is not a time limit'],
    [{ orders: ['SO-4101'], seconds: '601' }, 'seconds', '"601" is not a time limit'],
    [{ orders: ['SO-4101'], seconds: 'ten' }, 'seconds', '"ten" is not a time limit'],
    [{ orders: ['SO-4101'], seconds: '1e2' }, 'seconds', '"1e2" is not a time limit'],
  ])('names what is wrong with %j and stores nothing', async (choice, field, wrong) => {
    const asked = await requestPlan(db, choice, TODAY);
    expect(asked).toMatchObject({ ok: false, faults: [{ field, wrong }] });
    expect((await listPlans(db, { page: 1, pageSize: 10 })).total).toBe(0);
  });

  it('takes a time limit with a decimal comma', async () => {
    const asked = await requestPlan(db, { orders: ['SO-4101'], seconds: '2,5' }, TODAY);
    expect((await readPlan(db, (asked as { id: number }).id)).secondsLimit).toBe(2.5);
  });

  it('shows what waits: each product with its open orders by due date, and its released stock alone', async () => {
    const demand = await readOpenDemand(db, TODAY);
    const wax = demand.find((product) => product.code === 'CP-10')!;
    const days = wax.orders.map((order) => order.dueOn!);
    expect(days).toEqual([...days].sort());
    const [row] = await db('rolls')
      .where({ product: 'CP-10', status: 'released' })
      .where((fresh) => fresh.whereNull('use_by').orWhere('use_by', '>=', TODAY))
      .select(db.raw('count(*)::int as rolls'), db.raw('sum(width_um::float8 * length_mm) / 1e9 as m2'));
    expect(wax.stockRolls).toBe(row.rolls);
    expect(wax.stockM2).toBeCloseTo(row.m2, 6);
  });
});

describe('asking for a plan of a file', () => {
  it('keeps the document as it was written, order of fields included', async () => {
    const id = await queued();
    expect(JSON.stringify((await readPlan(db, id)).problem)).toBe(file());
  });
  it.each([
    ['{"format": 1,', '$'],
    ['', '$'],
    [file({ suprise: 1 }), 'suprise'],
    [
      file({ orders: [{ id: 'A', product: 'CP-99', widthMm: 83, lengthM: 300, rolls: 1 }] }),
      'orders[0].product',
    ],
    [
      file({ orders: [{ id: 'A', product: 'CP-10', widthMm: -83, lengthM: 300, rolls: 1 }] }),
      'orders[0].widthMm',
    ],
  ])('names the place of every fault and stores nothing: %.40s', async (text, path) => {
    const asked = await requestPlanFromFile(db, text, '');
    expect(asked).toMatchObject({ ok: false, fileFaults: [{ path }] });
    expect((await listPlans(db, { page: 1, pageSize: 10 })).total).toBe(0);
  });
});

describe('the queue', () => {
  it('gives the oldest plan first, and each to one taker only', async () => {
    const ids = [await queued(), await queued(), await queued()];
    const taken = await Promise.all([nextPlan(db), nextPlan(db), nextPlan(db), nextPlan(db)]);
    expect(
      taken
        .map((plan) => plan?.id)
        .filter(Boolean)
        .sort(),
    ).toEqual(ids);
    const [first, second] = [await queued(), await queued()];
    expect((await nextPlan(db))?.id).toBe(first);
    expect((await nextPlan(db))?.id).toBe(second);
  });

  it('refuses the plan that would be one too many to wait', async () => {
    const rows = Array.from({ length: 100 }, () => ({ title: 't', problem: file(), seconds_limit: 1 }));
    await db('plans').insert(rows);
    await expect(queued()).rejects.toEqual(refusal('plan-queue-full'));
  });

  it('stores a plan only while it runs, so that a cancelled one stays cancelled', async () => {
    const id = await queued();
    await nextPlan(db);
    await cancelPlan(db, id);
    expect(await storePlan(db, id, fixturePlan())).toBe(false);
    expect(await storeFailure(db, id, 'words')).toBe(false);
    await keepProgress(db, id, { phase: 'bounding', boundCost: 1, bestCost: null, columns: 1 });
    expect(await readPlan(db, id)).toMatchObject({
      status: 'cancelled',
      plan: undefined,
      progress: undefined,
    });
    await expect(cancelPlan(db, id)).rejects.toEqual(refusal('plan-has-ended'));
  });

  it('takes up what a crash interrupted, but not for ever', async () => {
    const id = await queued();
    await nextPlan(db);
    expect(await recoverPlans(db)).toEqual({ again: 1, failed: 0 });
    expect((await nextPlan(db))?.id).toBe(id);
    await keepProgress(db, id, { phase: 'improving', boundCost: 1, bestCost: 2, columns: 3 });
    expect(await recoverPlans(db)).toEqual({ again: 0, failed: 1 });
    const plan = await readPlan(db, id);
    expect(plan.status).toBe('failed');
    expect(plan.error).toMatch(/stopped 2 times/);
  });

  it('does not count a stop in good order as an interruption', async () => {
    const id = await queued();
    for (let stop = 0; stop < 3; stop += 1) {
      expect((await nextPlan(db))?.id).toBe(id);
      await putBack(db, id);
    }
    await nextPlan(db);
    expect(await recoverPlans(db)).toEqual({ again: 1, failed: 0 });
  });
});

describe('plans that are done', () => {
  async function done(change: (plan: ReturnType<typeof fixturePlan>) => void = () => {}): Promise<number> {
    const id = await queued();
    await nextPlan(db);
    const plan = fixturePlan();
    change(plan);
    expect(await storePlan(db, id, plan)).toBe(true);
    return id;
  }

  it('are listed newest first with their outcome, and read back as they were stored', async () => {
    const [first, second] = [await done(), await done()];
    const { rows, total } = await listPlans(db, { page: 1, pageSize: 1 });
    expect([total, rows.length, rows[0]!.id]).toEqual([2, 1, second]);
    expect(rows[0]!.outcome).toEqual({
      ...{ status: 'short', cost: 912.4, gapPct: 0.72 },
      ...{ setUps: 3, shortOrders: 1, lateOrders: 0 },
    });
    expect((await readFinishedPlan(db, first)).plan).toEqual(fixturePlan());
  });

  it('are queued again with the same frozen problem', async () => {
    const first = await done();
    const again = await readPlan(db, await runPlanAgain(db, first));
    expect(again).toMatchObject({ status: 'queued', parentId: first });
    expect(again.problem).toEqual((await readPlan(db, first)).problem);
  });

  it('compare as the same plan, the same runs, or different ones', async () => {
    const first = await done();
    expect(await comparePlans(db, first, await done())).toMatchObject({
      sameProblem: true,
      samePlan: true,
      sameRuns: true,
    });
    const proved = await done((plan) => {
      plan.bound.cost = 910;
    });
    expect(await comparePlans(db, first, proved)).toMatchObject({ samePlan: false, sameRuns: true });
    const other = await done((plan) => {
      plan.runs[0]!.sets = 7;
    });
    expect(await comparePlans(db, first, other)).toMatchObject({ samePlan: false, sameRuns: false });
  });

  it('are refused while they are not there', async () => {
    const id = await queued();
    await expect(readFinishedPlan(db, id)).rejects.toEqual(refusal('plan-not-finished'));
    await expect(readPlan(db, 2147483647)).rejects.toEqual(refusal('not-found'));
    await expect(cancelPlan(db, 2147483647)).rejects.toEqual(refusal('not-found'));
    await expect(runPlanAgain(db, 2147483647)).rejects.toEqual(refusal('not-found'));
  });
});
