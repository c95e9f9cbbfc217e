// Runs in a worker thread: one problem document in, one checked plan (or why not) out, progress through a port.
// The clock lives here, not in the planner: the planner only asks how many seconds are left.
import { performance } from 'node:perf_hooks';
import type { MessagePort } from 'node:worker_threads';
import type { Kept, SalesState } from '../domain/answer.ts';
import type { Insight } from '../domain/insight.ts';
import type { Plan, PlanProgress } from '../domain/plan.ts';
import type { Question } from '../domain/question.ts';
import { type MadePlan, makePlan } from '../usecases/planning/makePlan.ts';
import { keptInTime } from '../usecases/sales/askBaseline.ts';
import { askInsight } from '../usecases/sales/askInsight.ts';
import { certainLook, type FirstLook, firstLook } from '../usecases/sales/firstLook.ts';
import { type FirstAnswer, type Refined, refineAnswer } from '../usecases/sales/refineAnswer.ts';

export interface PlanTask {
  document: unknown;
  /** Time limit. */
  seconds: number;
  port: MessagePort;
  /** Shared: not 0 once the best plan so far is good enough. */
  enough: Int32Array;
}

/** How far it has come, or the first whole plan, checked. */
export interface WorkerNews {
  progress?: PlanProgress;
  first?: Plan;
}

/** Progress comes many times a millisecond; this often is enough for eyes. */
const REPORT_EVERY_MS = 100;

/** Plans one document within its time. The port gets WorkerNews: progress at most ten times a second and the last one. */
export function planInWorker({ document, seconds, port, enough }: PlanTask): MadePlan {
  const tell = (news: WorkerNews) => port.postMessage(news);
  const start = performance.now();
  let reportedAt = Number.NEGATIVE_INFINITY;
  let latest: PlanProgress | undefined;
  const made = makePlan(document, {
    secondsLeft: () => (Atomics.load(enough, 0) === 0 ? seconds - (performance.now() - start) / 1000 : 0),
    report: (progress) => {
      latest = progress;
      if (performance.now() - reportedAt < REPORT_EVERY_MS) return;
      reportedAt = performance.now();
      tell({ progress });
    },
    first: (plan) => tell({ first: plan }),
  });
  if (latest) tell({ progress: latest });
  port.close();
  return made;
}

export interface InsightTask {
  document: unknown;
  /** Time limit. */
  seconds: number;
}

export interface QuestionTask {
  state: SalesState;
  question: Question;
  kept: Kept | undefined;
  before: Kept | undefined;
  /** Say only what is certain whatever the orders keep: nothing of that is planned for it. */
  onlyCertain: boolean;
  seconds: number;
}

/** The first answer to a customer's question. */
export function questionInWorker({ state, question, kept, before, ...task }: QuestionTask): FirstLook {
  const control = clock(task.seconds);
  if (task.onlyCertain) return certainLook(state, question, control);
  return firstLook(state, question, kept, before, control);
}

export interface KeptTask {
  state: SalesState;
  before: Kept | undefined;
  seconds: number;
}

/** What the orders of a product keep in a state. */
export function keptInWorker({ state, before, seconds }: KeptTask): Kept {
  return keptInTime(state, before, clock(seconds));
}

export interface RefineTask extends FirstAnswer {
  /** For what the orders keep, where that is not known yet; and for everything else. */
  planningSeconds: number;
  seconds: number;
}

/** The second look at an answer, with what it costs. */
export function refineInWorker({ planningSeconds, seconds, ...first }: RefineTask): Refined {
  return refineAnswer(first, clock(planningSeconds), () => clock(seconds));
}

function clock(seconds: number) {
  const start = performance.now();
  return { secondsLeft: () => seconds - (performance.now() - start) / 1000, report: () => {} };
}

/** What a little more would be worth in the problem of one document, as far as the time allows. */
export function insightInWorker({ document, seconds }: InsightTask): Insight {
  return askInsight(document, clock(seconds));
}

export { buyingInWorker } from './buyingWorker.ts';
