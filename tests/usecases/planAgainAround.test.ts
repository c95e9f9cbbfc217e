// Planning again around kept runs, on the real database: what is queued, what is refused, how the two plans compare.
import type { Knex } from 'knex';
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { comparePlans } from '../../src/usecases/planning/comparePlans.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { planAgainAround } from '../../src/usecases/planning/planAgainAround.ts';
import { nextPlan, storePlan } from '../../src/usecases/planning/planQueue.ts';
import { queuePlan } from '../../src/usecases/planning/queuePlan.ts';
import { readPlan } from '../../src/usecases/planning/readPlan.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument } from '../support/planFixture.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});
beforeEach(() => db('plans').delete());

/** The fixture's problem with a spare roll, planned and stored. */
async function planned(): Promise<{ id: number; plan: Plan }> {
  const problem = fixtureDocument();
  problem.rolls!.push({ ...problem.rolls![0]!, id: 'R7031', defects: [] });
  const id = await queuePlan(db, {
    title: 'CP-10, 3 orders',
    products: ['CP-10'],
    problem,
    secondsLimit: 20,
  });
  return { id, plan: await work(id) };
}
async function work(id: number): Promise<Plan> {
  const next = await nextPlan(db);
  expect(next?.id).toBe(id);
  const start = performance.now();
  const made = makePlan(next!.problem, {
    secondsLeft: () => 2 - (performance.now() - start) / 1000,
    report: () => {},
  });
  if (!made.ok) throw new Error(JSON.stringify(made.faults));
  await storePlan(db, id, made.plan);
  return made.plan;
}
const settingsOf = ({ runs }: Plan) =>
  new Set(
    runs.map((run) => JSON.stringify([run.slitter, run.trimLeftMm, run.strips.map(({ toMm }) => toMm)])),
  );

describe('planning again around kept runs', () => {
  it('queues a child with the kept runs as locks, and its plan keeps them', async () => {
    const { id, plan } = await planned();
    const asked = await planAgainAround(db, id, { keepRuns: [1], failedRolls: [] });
    if (!asked.ok) throw new Error(JSON.stringify(asked.faults));
    const child = await readPlan(db, asked.id);
    expect(child).toMatchObject({ parentId: id, title: 'CP-10, 3 orders', secondsLimit: 20 });
    expect(child.problem.locks).toHaveLength(1);
    const again = await work(asked.id);
    expect(again.runs[0]).toMatchObject({ strips: plan.runs[0]!.strips, from: plan.runs[0]!.from });
    const compared = await comparePlans(db, id, asked.id);
    expect(compared.sameProblem).toBe(false);
    const [before, now] = [settingsOf(plan), settingsOf(again)];
    const same = [...now].filter((setting) => before.has(setting)).length;
    expect(same).toBeGreaterThan(0);
    expect(compared.setUps).toEqual({ same, fresh: now.size - same });
  });

  it('takes nothing more of a roll that failed, and of those that failed before', async () => {
    const { id } = await planned();
    const asked = await planAgainAround(db, id, { keepRuns: [], failedRolls: ['R7030'] });
    if (!asked.ok) throw new Error(JSON.stringify(asked.faults));
    const plan = await work(asked.id);
    expect(plan.runs.flatMap((run) => run.from.map(({ roll }) => roll))).not.toContain('R7030');
    const third = await planAgainAround(db, asked.id, { keepRuns: [], failedRolls: ['R7031'] });
    if (!third.ok) throw new Error(JSON.stringify(third.faults));
    expect((await readPlan(db, third.id)).problem.limits?.excludeRolls).toEqual(['R7030', 'R7031']);
  });

  it.each([
    [{ keepRuns: [99], failedRolls: [] }, 'keep'],
    [{ keepRuns: [], failedRolls: [] }, 'keep'],
    [{ keepRuns: [], failedRolls: ['R1'] }, 'failed'],
  ])('names what is wrong with %j and queues nothing', async (choice, field) => {
    const { id } = await planned();
    const asked = await planAgainAround(db, id, choice);
    expect(asked).toMatchObject({ ok: false, faults: [{ field }] });
    expect(await db('plans').count({ many: '*' }).first()).toEqual({ many: 1 });
  });

  it('refuses a plan that is not there or not finished', async () => {
    const choice = { keepRuns: [1], failedRolls: [] };
    await expect(planAgainAround(db, 12345, choice)).rejects.toMatchObject({ code: 'not-found' });
    const id = await queuePlan(db, { title: 't', products: [], problem: fixtureDocument(), secondsLimit: 5 });
    await expect(planAgainAround(db, id, choice)).rejects.toMatchObject({ code: 'plan-not-finished' });
  });
});

describe('an order line with a share of good rolls', () => {
  const line = { code: 'SO-9', customer: '', product: 'CP-10', widthUm: '83', lengthMm: '300', rolls: '20' };
  const save = async (more: Record<string, string>) => {
    const customer = (await db('customers').first('code')).code;
    const typed = {
      ...line,
      customer,
      overPct: '0',
      underPct: '0',
      priority: 'normal',
      status: 'open',
      ...more,
    };
    return saveRow(db, RESOURCES.orders, typed);
  };
  it('comes into the problem as typed', async () => {
    expect(await save({ goodRollPct: '95', completePct: '99' })).toMatchObject({ ok: true });
    const problem = await buildProblem(db, { orders: ['SO-9'], planOn: TODAY });
    expect(problem.orders[0]).toMatchObject({ id: 'SO-9', goodRollPct: 95, completePct: 99 });
  });
  it('is refused outside 1 to 100 %', async () => {
    expect(await save({ code: 'SO-10', goodRollPct: '0' })).toMatchObject({
      ok: false,
      faults: [{ field: 'goodRollPct' }],
    });
  });
});
