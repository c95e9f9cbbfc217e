// Planning in the background, with the real planner in real worker threads on the real database.
import type { Knex } from 'knex';
import { afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { Plan, PlanProgress } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemDocument.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { comparePlans } from '../../src/usecases/planning/comparePlans.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { keepFirstPlan, settleForFirstPlan } from '../../src/usecases/planning/planQueue.ts';
import { queuePlan } from '../../src/usecases/planning/queuePlan.ts';
import { readFinishedPlan, readPlan } from '../../src/usecases/planning/readPlan.ts';
import { runPlanAgain } from '../../src/usecases/planning/runPlanAgain.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument } from '../support/planFixture.ts';
import { untilEnded } from '../support/server.ts';

let db: Knex;
let jobs: Jobs | undefined;
let errors: { words: string }[] = [];
beforeAll(async () => {
  db = await freshDatabase();
});
beforeEach(async () => {
  await db('plans').delete();
  errors = [];
});
afterEach(async () => {
  await jobs?.stop();
  jobs = undefined;
});

const start = async () => {
  jobs = await startJobs(db, {}, { info: () => {}, error: (_facts, words) => errors.push({ words }) });
  return jobs;
};
const queue = (problem: ProblemDocument, secondsLimit = 20) =>
  queuePlan(db, { title: 't', products: ['CP-10'], problem, secondsLimit });

/** Proved within a moment. Invented figures. */
const smallProblem = (): ProblemDocument => ({
  ...fixtureDocument(),
  orders: [{ id: 'SO-1', product: 'CP-10', widthMm: 110, lengthM: 300, rolls: 27 }],
});

/** Forty odd widths on many rolls: more than a few seconds of improving. Invented figures. */
function bigProblem(): ProblemDocument {
  const orders = Array.from({ length: 40 }, (_, i) => ({
    id: `O-${i}`,
    product: 'CP-10',
    widthMm: 41 + ((i * 37) % 173) + (i % 7) / 10,
    lengthM: 300 + 50 * (i % 3),
    rolls: 17 + ((i * 13) % 60),
  }));
  const roll = { kind: 'coated' as const, item: 'CP-10', lengthM: 11400, count: 40 };
  const rolls = [
    { ...roll, id: 'A', widthMm: 1050, costPerRoll: 900 },
    { ...roll, id: 'B', widthMm: 820, costPerRoll: 702 },
  ];
  return { ...fixtureDocument(), orders, rolls };
}

async function untilRunning(id: number, progressed = false): Promise<void> {
  const end = Date.now() + 30_000;
  while (Date.now() < end) {
    if ((await readPlan(db, id)).status === 'running' && (!progressed || jobs?.progressOf(id))) return;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error('the plan does not start to run');
}

async function firstPlanOf(id: number): Promise<Plan> {
  const end = Date.now() + 60_000;
  while (Date.now() < end) {
    const { firstPlan } = await readPlan(db, id);
    if (firstPlan) return firstPlan;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error('no first plan came');
}

function faultsOf(document: ProblemDocument, plan: Plan) {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error('not a problem');
  return checkPlan(parsed.problem, plan);
}

function planOf(document: ProblemDocument): Plan {
  const made = makePlan(document);
  if (!made.ok) throw new Error('no plan');
  return made.plan;
}

describe('a plan in the queue', () => {
  it('becomes a plan that breaks no limit of its frozen problem', async () => {
    const id = await queue(smallProblem());
    await start();
    expect(await untilEnded(db, id)).toBe('done');
    const { plan, problem, finishedAt } = await readFinishedPlan(db, id);
    const read = parseProblem(problem);
    expect(read.ok && checkPlan(read.problem, plan)).toEqual([]);
    expect(plan.bound.cost).toBeLessThanOrEqual(plan.cost.total + 1e-9);
    expect(finishedAt).toBeInstanceOf(Date);
    expect(errors).toEqual([]);
  });

  it('gives the same plan when it is run again', async () => {
    const running = await start();
    const first = await queue(smallProblem());
    running.wake();
    await untilEnded(db, first);
    const second = await runPlanAgain(db, first);
    running.wake();
    await untilEnded(db, second);
    expect(await comparePlans(db, first, second)).toMatchObject({ sameProblem: true, samePlan: true });
  });

  it('waits until the ones before it are done, one at a time', async () => {
    const ids = [await queue(smallProblem()), await queue(smallProblem()), await queue(smallProblem())];
    await start();
    for (const id of ids) expect(await untilEnded(db, id)).toBe('done');
    const times = await Promise.all(ids.map((id) => readPlan(db, id)));
    for (let i = 1; i < times.length; i += 1)
      expect(times[i]!.startedAt!.getTime()).toBeGreaterThanOrEqual(times[i - 1]!.finishedAt!.getTime());
  });

  it('fails with words, and is no plan, when its stored problem is not valid', async () => {
    const id = await queue({ ...fixtureDocument(), orders: [] });
    await start();
    expect(await untilEnded(db, id)).toBe('failed');
    const { error, plan } = await readPlan(db, id);
    expect(error).toMatch(/^The problem is not valid\. orders: is an empty list/);
    expect(plan).toBeUndefined();
    expect(errors).toHaveLength(1);
  });
});

describe('a running plan', () => {
  it('tells how far it is, bound never above best', async () => {
    const id = await queue(bigProblem(), 3);
    const seen: PlanProgress[] = [];
    const running = await start();
    const ended = new Promise((resolve) =>
      running.subscribe(id, (news) => {
        if (news.kind === 'progress') seen.push(news.progress);
        if (news.kind === 'ended') resolve(undefined);
      }),
    );
    await ended;
    expect((await readPlan(db, id)).status).toBe('done');
    expect(seen.length).toBeGreaterThan(1);
    for (const { boundCost, bestCost } of seen)
      if (boundCost !== null && bestCost !== null) expect(boundCost).toBeLessThanOrEqual(bestCost + 1e-6);
    expect((await readPlan(db, id)).progress?.columns).toBeGreaterThan(0);
    expect(running.progressOf(id)).toBeUndefined();
  });

  it('ends within a moment when it is cancelled, and the next one runs', async () => {
    const long = await queue(bigProblem(), 600);
    const next = await queue(smallProblem());
    const running = await start();
    await untilRunning(long, true);
    const asked = Date.now();
    await running.cancel(long);
    expect(await untilEnded(db, next)).toBe('done');
    expect(Date.now() - asked).toBeLessThan(60_000);
    expect(await readPlan(db, long)).toMatchObject({ status: 'cancelled', plan: undefined });
    expect(errors).toEqual([]);
  });

  it('finishes early with the best plan so far when that is enough', async () => {
    const id = await queue(bigProblem(), 600);
    const running = await start();
    const first = await firstPlanOf(id);
    const asked = Date.now();
    await running.finish(id);
    expect(await untilEnded(db, id)).toBe('done');
    expect(Date.now() - asked).toBeLessThan(60_000);
    const { plan, firstPlan, problem } = await readPlan(db, id);
    expect(faultsOf(problem, plan!)).toEqual([]);
    expect(faultsOf(problem, first)).toEqual([]);
    expect(plan!.stopped).toBe('time');
    expect(plan!.cost.total).toBeLessThanOrEqual(first.cost.total + 1e-6);
    expect(firstPlan).toBeUndefined();
  });

  it('refuses to finish what waits, has ended or is not there', async () => {
    const done = await queue(smallProblem());
    const running = await start();
    await untilEnded(db, done);
    await expect(running.finish(done)).rejects.toMatchObject({ code: 'plan-has-ended' });
    await expect(running.finish(987654)).rejects.toMatchObject({ code: 'not-found' });
    await queue(bigProblem(), 2);
    const waiting = await queue(smallProblem());
    running.wake();
    await expect(running.finish(waiting)).rejects.toMatchObject({ code: 'plan-waits' });
  });

  it('keeps its first plan when the search comes to a bad end', async () => {
    const id = await queue(smallProblem());
    await db('plans').where({ id }).update({ status: 'running', started_at: db.fn.now() });
    expect(await settleForFirstPlan(db, id)).toBe(false);
    const made = planOf(smallProblem());
    await keepFirstPlan(db, id, made);
    expect(await settleForFirstPlan(db, id)).toBe(true);
    expect(await readPlan(db, id)).toMatchObject({ status: 'done', plan: made, firstPlan: undefined });
  });

  it('waits again when the program stops in good order, and is made at the next start', async () => {
    const id = await queue(bigProblem(), 600);
    const running = await start();
    await untilRunning(id);
    await firstPlanOf(id);
    await running.stop();
    expect(await readPlan(db, id)).toMatchObject({ status: 'queued', firstPlan: undefined });
    await db('plans').where({ id }).update({ seconds_limit: 2 });
    await start();
    expect(await untilEnded(db, id)).toBe('done');
  });

  it('is taken up again after a crash', async () => {
    const id = await queue(smallProblem());
    await db('plans').where({ id }).update({ status: 'running', started_at: db.fn.now() });
    await start();
    expect(await untilEnded(db, id)).toBe('done');
  });
});

describe('a waiting plan', () => {
  it('can be cancelled before its turn', async () => {
    const first = await queue(bigProblem(), 2);
    const waiting = await queue(smallProblem());
    const running = await start();
    await untilRunning(first);
    await running.cancel(waiting);
    expect(await untilEnded(db, first)).toBe('done');
    expect((await readPlan(db, waiting)).status).toBe('cancelled');
  });
});
