// The page of one plan: while it waits or runs, how far it is; then the plan, or why there is none. Its two files.
import type { Request, RequestHandler, Response } from 'express';
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { actualOfRuns, listReleases } from '../../usecases/machine/readRelease.ts';
import { type AroundFault, planAgainAround } from '../../usecases/planning/planAgainAround.ts';
import { readFinishedPlan, readPlan, type StoredPlan } from '../../usecases/planning/readPlan.ts';
import { runPlanAgain } from '../../usecases/planning/runPlanAgain.ts';
import { drawPattern } from '../drawings/picturePattern.ts';
import { fieldsOfPlan, lanesOf, tonesOf, webWidthMm } from '../drawings/picturePlan.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { grouped } from '../words.ts';
import { actualOf } from './planActual.ts';
import { clockTime, frozenProblem, manyOf, oneOf, planNumber } from './planForms.ts';
import { lookAt } from './planLookAt.ts';
import { BAR_WIDTH, machineTimes } from './planMachine.ts';
import { costRows, fillerRows, shortRows } from './planMoney.ts';
import { coatingRows, purchaseRows } from './planSupply.ts';
import { curveOf } from './plansCurve.ts';
import { areaRows, drawnFields, orderRows, rollRows, runRows, runSums } from './planTables.ts';
import { answerWords, firstWords, money, moneyDown, progressWords } from './planWords.ts';

/** A page with more pictures than this is slow to open and read; the tables below have them all. */
const MOST_DRAWN = 40;

/** GET /plans/:id */
export function planPage(services: Services): RequestHandler {
  return async (req, res) => {
    const stored = await readPlan(services.db, planNumber(req.params.id));
    if (stored.plan) return showPlan(services, req, res, stored, stored.plan);
    if (stored.status === 'queued' || stored.status === 'running')
      return showWaiting(services, req, res, stored);
    showPage(req, res, 'plans/ended', {
      title: `Plan ${stored.id}`,
      stored,
      madeAt: clockTime(stored.createdAt),
    });
  };
}

function showWaiting(services: Services, req: Request, res: Response, stored: StoredPlan): void {
  const progress = services.jobs.progressOf(stored.id);
  const words = progressWords(progress);
  showPage(req, res, 'plans/waiting', {
    title: `Plan ${stored.id} is being made`,
    scripts: ['plans.js'],
    refreshSeconds: 2,
    stored,
    phase: stored.status === 'queued' ? 'Waiting for its turn' : words.phase,
    costs: words.costs,
    first: stored.firstPlan && firstWords(stored.firstPlan),
    secondsLimit: grouped(stored.secondsLimit, 1),
  });
}

/** What is ticked and typed to plan again around it. */
interface Around {
  keep: number[];
  failed: string;
  faults: AroundFault[];
}

async function showPlan(
  { db }: Services,
  req: Request,
  res: Response,
  stored: StoredPlan,
  plan: Plan,
  around: Around = { keep: frozenLocks(stored), failed: '', faults: [] },
): Promise<void> {
  const releases = await listReleases(db, { plan: stored.id });
  const numbers = releases.map(({ id }) => id);
  const problem = frozenProblem(stored.id, stored.problem);
  const tones = tonesOf(plan);
  const groups = fieldsOfPlan(plan, problem);
  const model = {
    title: `Plan ${stored.id}`,
    stored,
    madeAt: clockTime(stored.createdAt),
    answer: answerWords(plan),
    actual: actualOf(plan, problem, releases, await actualOfRuns(db, numbers)),
    curve: curveOf(plan),
    fields: drawnFields(plan, problem, '', MOST_DRAWN),
    notDrawn: Math.max(0, groups.length - MOST_DRAWN),
    orders: orderRows(plan, problem, tones),
    runs: runRows(plan).map((row, index) => ({
      ...row,
      drawn: index < MOST_DRAWN,
      kept: around.keep.includes(row.sequence),
    })),
    around,
    runSums: runSums(plan),
    patterns: plan.runs.slice(0, MOST_DRAWN).map((run) => {
      const webMm = webWidthMm(run.from[0]?.roll ?? '', plan, problem);
      const title = `Pattern of run ${run.sequence}, knife positions in mm from the datum edge`;
      return { run, drawn: drawPattern(`pattern-${run.sequence}`, title, webMm, lanesOf(run, webMm, tones)) };
    }),
    rolls: rollRows(groups, plan),
    areas: areaRows(plan.yield),
    yieldPct: grouped(plan.yield.areaYieldPct, 1),
    ...moneyOf(plan, problem),
    currency: plan.currency,
    lookAt: lookAt(plan, problem, groups),
    coating: coatingRows(plan),
    purchases: purchaseRows(plan, problem),
    machines: machineTimes(plan, problem),
    barWidth: BAR_WIDTH,
  };
  showPage(req, res, 'plans/plan', model, around.faults.length > 0 ? 422 : 200);
}

/** What is paid, and apart from it what is short. */
function moneyOf(plan: Plan, problem: Problem) {
  const missing = shortRows(plan, problem);
  const m2 = missing.reduce((sum, row) => sum + row.m2, 0);
  return {
    costs: costRows(plan, problem),
    paid: money(plan.cost.total - plan.cost.short),
    bought: plan.purchases.length > 0 ? money(plan.cost.purchases) : '',
    bound: moneyDown(plan.bound.cost),
    fillers: fillerRows(plan, problem),
    missing,
    missingRolls: grouped(plan.orders.reduce((sum, order) => sum + order.short, 0)),
    missingM2: grouped(m2, 1),
  };
}

/** POST /plans/:id/cancel */
export function cancelPost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = planNumber(req.params.id);
    await services.jobs.cancel(id);
    res.redirect(303, `/plans/${id}`);
  };
}

/** POST /plans/:id/finish */
export function finishPost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = planNumber(req.params.id);
    await services.jobs.finish(id);
    res.redirect(303, `/plans/${id}`);
  };
}

/** Runs that this plan was made around stay ticked: they come first. */
function frozenLocks({ problem }: StoredPlan): number[] {
  return (problem.locks ?? []).map((_, index) => index + 1);
}

/** POST /plans/:id/around: a new plan that keeps the ticked runs and leaves failed rolls alone. */
export function aroundPost(services: Services): RequestHandler {
  return async (req, res) => {
    const stored = await readFinishedPlan(services.db, planNumber(req.params.id));
    const keep = manyOf(req.body?.keep).map(Number);
    const failed = oneOf(req.body?.failed);
    const failedRolls = failed.split(/[\s,;]+/).filter((name) => name !== '');
    const asked = await planAgainAround(services.db, stored.id, { keepRuns: keep, failedRolls });
    if (!asked.ok)
      return showPlan(services, req, res, stored, stored.plan, { keep, failed, faults: asked.faults });
    services.jobs.wake();
    res.redirect(303, `/plans/${asked.id}`);
  };
}

/** POST /plans/:id/again: the frozen problem once more. */
export function againPost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = await runPlanAgain(services.db, planNumber(req.params.id));
    services.jobs.wake();
    res.redirect(303, `/plans/${id}`);
  };
}

/** GET /plans/:id/problem.json */
export function problemFile(services: Services): RequestHandler {
  return async (req, res) => {
    const { id, problem } = await readPlan(services.db, planNumber(req.params.id));
    sendFile(res, `plan-${id}-problem.json`, problem);
  };
}

/** GET /plans/:id/plan.json */
export function planFile(services: Services): RequestHandler {
  return async (req, res) => {
    const { id, plan } = await readFinishedPlan(services.db, planNumber(req.params.id));
    sendFile(res, `plan-${id}.json`, plan);
  };
}

function sendFile(res: Response, name: string, document: unknown): void {
  res
    .type('application/json')
    .attachment(name)
    .send(`${JSON.stringify(document, null, 2)}\n`);
}
