// One job: a taken plan goes through a worker thread, and its row says how it ended.
import { MessageChannel } from 'node:worker_threads';
import type { Knex } from 'knex';
import type { Piscina } from 'piscina';
import { printFault } from '../domain/problemDocument.ts';
import type { MadePlan } from '../usecases/planning/makePlan.ts';
import {
  keepFirstPlan,
  keepProgress,
  putBack,
  settleForFirstPlan,
  storeFailure,
  storePlan,
} from '../usecases/planning/planQueue.ts';
import type { StoredPlan } from '../usecases/planning/readPlan.ts';
import type { PlanTask, WorkerNews } from './planWorker.ts';
import type { ProgressBoard } from './progressBoard.ts';

/** The part of a pino logger that the jobs use. */
export interface JobLog {
  info(facts: object, words: string): void;
  error(facts: object, words: string): void;
}
/** What every job needs. */
export interface Desk {
  db: Knex;
  pool: Piscina;
  board: ProgressBoard;
  log: JobLog;
}
/** How a job can be ended from outside, and why it was; the first reason counts. */
export interface JobEnd {
  abort: AbortController;
  why: 'cancelled' | 'stopped' | 'overdue' | undefined;
  /** Shared with the worker: not 0 once it is to finish with the best plan that it has. */
  enough: Int32Array;
}
export const newJobEnd = (): JobEnd => ({
  abort: new AbortController(),
  why: undefined,
  enough: new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT)),
});
type Outcome = MadePlan | { ok: false; why: 'error'; error: unknown };

/** Heap of one worker. A planning run stays far below; what does not is ended alone, not with the whole program. */
export const WORKER_HEAP_MB = 512;
/** The planner keeps its own time limit; a worker this much over it is ended from outside. */
const GRACE_SECONDS = 60;
/** How often progress goes to the database, for readers after a restart. */
const KEEP_EVERY_MS = 1000;

/** Ends the worker of a job at once. */
export function endJob(end: JobEnd | undefined, why: JobEnd['why']): void {
  if (!end || end.why) return;
  end.why = why;
  end.abort.abort();
}

/** Plans one taken plan and writes the outcome into its row. Never throws: what goes wrong is logged and stored. */
export async function runPlanJob(desk: Desk, stored: StoredPlan, end: JobEnd): Promise<void> {
  const outcome = await inWorker(desk, stored, end).catch(
    (error: unknown): Outcome => ({ ok: false, why: 'error', error }),
  );
  await writeOutcome(desk, stored.id, end, outcome).catch((error: unknown) =>
    desk.log.error({ err: error, plan: stored.id }, 'the outcome of a plan could not be stored'),
  );
}

async function inWorker(desk: Desk, stored: StoredPlan, end: JobEnd): Promise<MadePlan> {
  const { port1, port2 } = new MessageChannel();
  let keptAt = 0;
  const lost = (words: string) => (error: unknown) => desk.log.error({ err: error, plan: stored.id }, words);
  port1.on('message', ({ progress, first }: WorkerNews) => {
    if (first)
      keepFirstPlan(desk.db, stored.id, first)
        .then(() => desk.board.publishFirst(stored.id, first))
        .catch(lost('a first plan could not be kept'));
    if (!progress) return;
    desk.board.publish(stored.id, progress);
    if (Date.now() - keptAt < KEEP_EVERY_MS) return;
    keptAt = Date.now();
    keepProgress(desk.db, stored.id, progress).catch(lost('progress could not be kept'));
  });
  const overdue = setTimeout(() => endJob(end, 'overdue'), (stored.secondsLimit + GRACE_SECONDS) * 1000);
  const { problem: document, secondsLimit: seconds } = stored;
  const task: PlanTask = { document, seconds, port: port2, enough: end.enough };
  try {
    return await desk.pool.run(task, { transferList: [port2], signal: end.abort.signal });
  } finally {
    clearTimeout(overdue);
    port1.close();
  }
}

async function writeOutcome({ db, log }: Desk, id: number, end: JobEnd, outcome: Outcome): Promise<void> {
  if (end.why === 'cancelled') return;
  if (outcome.ok) {
    if (await storePlan(db, id, outcome.plan))
      log.info({ plan: id, cost: outcome.plan.cost.total }, 'plan made');
    return;
  }
  if (end.why === 'stopped') return putBack(db, id);
  const words = end.why === 'overdue' ? OVERDUE : failureWords(outcome);
  if (!(await settleForFirstPlan(db, id))) await storeFailure(db, id, words);
  log.error(
    { plan: id, ...(outcome.why === 'error' ? { err: outcome.error } : { faults: outcome.faults }) },
    words,
  );
}

const OVERDUE = `The planner did not stop at its time limit and was ended ${GRACE_SECONDS} seconds later. This is a fault of the program, not of what you asked.`;

function failureWords(outcome: Exclude<Outcome, { ok: true }>): string {
  if (outcome.why === 'problem')
    return `The problem is not valid. ${outcome.faults.map(printFault).join('. ')}.`;
  if (outcome.why === 'plan')
    return `A plan was made, but it breaks a limit and is not shown: ${outcome.faults.join('; ')}. This is a fault of the program, not of what you asked.`;
  if ((outcome.error as { code?: string } | null)?.code === 'ERR_WORKER_OUT_OF_MEMORY')
    return `The problem needs more than the ${WORKER_HEAP_MB} MB of memory that one plan may have. Plan fewer orders at a time.`;
  return 'The planner failed. This is a fault of the program, not of what you asked.';
}
