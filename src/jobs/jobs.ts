// Planning in the background. The queue is the plans table, so nothing that waits is lost when the program stops;
// worker threads do the planning, so that pages stay quick. A cancelled or overdue worker thread is ended at once.
// One app process owns the queue.
import { fileURLToPath } from 'node:url';
import type { Knex } from 'knex';
import { Piscina } from 'piscina';
import type { PlanProgress } from '../domain/plan.ts';
import { Refusal } from '../domain/refusal.ts';
import { cancelPlan } from '../usecases/planning/cancelPlan.ts';
import { nextPlan, recoverPlans } from '../usecases/planning/planQueue.ts';
import { readPlanStatus } from '../usecases/planning/readPlan.ts';
import { type BuyingDesk, buyingDesk } from './buyingJob.ts';
import { type AskInsight, insightDesk } from './insightJob.ts';
import { type LateFilmDesk, lateFilmDesk } from './lateFilmJob.ts';
import {
  type Desk,
  endJob,
  type JobEnd,
  type JobLog,
  newJobEnd,
  runPlanJob,
  WORKER_HEAP_MB,
} from './planJob.ts';
import { type Listener, progressBoard } from './progressBoard.ts';
import { type QuestionDesk, questionDesk } from './questionJob.ts';

export interface JobSettings {
  /** Plans worked on at the same time; each takes one processor core. */
  planWorkers?: number;
}

export interface Jobs {
  /** Looks into the queue; call it after a plan was put there. Returns at once. */
  wake(): void;
  /** Cancels a waiting or running plan and ends its worker. Refuses with not-found or plan-has-ended. */
  cancel(id: number): Promise<void>;
  /** Has a running plan finished with the best that is found. Refuses with not-found, plan-has-ended or plan-waits. */
  finish(id: number): Promise<void>;
  /** The newest progress of a running plan; undefined when it is not running. */
  progressOf(id: number): PlanProgress | undefined;
  /** What a little more would be worth in the problem of plan `id`. Refuses with planner-busy. */
  insight: AskInsight;
  /** Customers' questions: a first answer at once, a second look in the background. */
  questions: Omit<QuestionDesk, 'stop'>;
  /** What to buy and which width: worked out in the background, kept while nothing changes. */
  buying: Pick<BuyingDesk, 'proposal' | 'widths'>;
  /** Late film: its orders are planned again by themselves. */
  lateFilm: Pick<LateFilmDesk, 'look'>;
  /** Hears of a plan's progress and end. @returns a function that ends the subscription. */
  subscribe(id: number, listener: Listener): () => void;
  /** Ends all workers; what they were doing waits for the next start. */
  stop(): Promise<void>;
}

const WORKER = fileURLToPath(new URL('./planWorkerEntry.mjs', import.meta.url));

/** Takes up what a stop interrupted and starts working on the queue. `log` hears of plans made and failed. */
export async function startJobs(db: Knex, settings: JobSettings, log: JobLog): Promise<Jobs> {
  const workers = settings.planWorkers ?? 1;
  const desk: Desk = { db, pool: workerPool(workers, log), board: progressBoard(), log };
  const recovered = await recoverPlans(db);
  if (recovered.again + recovered.failed > 0) log.info(recovered, 'plans taken up after a stop');
  const questions = questionDesk(
    db,
    workerPool(ANSWER_WORKERS, log, READY_TO_ANSWER),
    workerPool(1, log, 0),
    log,
  );
  const buying = buyingDesk(workerPool(1, log, 0), log);
  const jobs = queueKeeper(desk, workers, questions, buying);
  jobs.wake();
  return jobs;
}

/** While some plan what the orders keep, there is one for a first answer. */
const ANSWER_WORKERS = 3;
const READY_TO_ANSWER = 2;
/** A worker ends after a while of nothing to do, down to so many that stay ready. */
const IDLE_MS = 120_000;

function workerPool(workers: number, log: JobLog, ready = workers): Piscina {
  const pool = new Piscina({
    filename: WORKER,
    name: 'planInWorker',
    // Ready before the first plan is asked for: loading the planner takes a worker a second or more.
    minThreads: ready,
    idleTimeout: IDLE_MS,
    maxThreads: workers,
    resourceLimits: { maxOldGenerationSizeMb: WORKER_HEAP_MB },
  });
  // A worker that dies fails its own job; without a listener it would end the whole program.
  pool.on('error', (error: unknown) => log.error({ err: error }, 'a planning worker died'));
  return pool;
}

/** Why a plan that is not running cannot be finished. */
async function refuseToFinish(db: Knex, id: number): Promise<never> {
  const status = await readPlanStatus(db, id);
  if (status === undefined) throw new Refusal('not-found', { what: 'plan', code: id });
  if (status === 'queued' || status === 'running') throw new Refusal('plan-waits', { id });
  throw new Refusal('plan-has-ended', { id, status });
}

interface Running {
  end: JobEnd;
  done: Promise<void>;
}

function queueKeeper(desk: Desk, workers: number, questions: QuestionDesk, buying: BuyingDesk): Jobs {
  const { db, board, log } = desk;
  const running = new Map<number, Running>();
  let stopping = false;
  let taking: Promise<void> = Promise.resolve();

  const take = async () => {
    while (!stopping && running.size < workers) {
      const next = await nextPlan(db);
      if (!next) return;
      const end = newJobEnd();
      const done = runPlanJob(desk, next, end).then(() => {
        running.delete(next.id);
        board.end(next.id);
        wake();
      });
      running.set(next.id, { end, done });
    }
  };
  /** One look into the queue at a time: two at once could both find room for one more. */
  const wake = () => {
    taking = taking
      .then(take)
      .catch((error: unknown) => log.error({ err: error }, 'the queue could not be read'));
  };

  const lateFilm = lateFilmDesk(db, wake, log);

  return {
    wake,
    async cancel(id) {
      await cancelPlan(db, id);
      endJob(running.get(id)?.end, 'cancelled');
      if (!running.has(id)) board.end(id);
    },
    async finish(id) {
      const end = running.get(id)?.end;
      if (!end) return refuseToFinish(db, id);
      Atomics.store(end.enough, 0, 1);
    },
    progressOf: board.latest,
    insight: insightDesk(desk.pool),
    questions,
    buying,
    lateFilm,
    subscribe: board.subscribe,
    async stop() {
      stopping = true;
      await lateFilm.stop();
      await taking;
      for (const { end } of running.values()) endJob(end, 'stopped');
      await Promise.all([...running.values()].map(({ done }) => done));
      await questions.stop();
      await buying.stop();
      await desk.pool.destroy();
    },
  };
}
