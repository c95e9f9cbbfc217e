// Customers' questions, apart from the plans so that no seller waits behind one: the first answer in a worker of its own;
// the second look, and what the orders of each product keep after stock or orders have changed, in another. What is being
// looked at is not looked at twice; what a stop interrupts is asked for again by its page.
import type { Knex } from 'knex';
import type { Piscina } from 'piscina';
import { Refusal } from '../domain/refusal.ts';
import type { IsoDate } from '../domain/units.ts';
import { answerToRefine, storeRefined, type Think } from '../usecases/sales/askQuestion.ts';
import { productsAsked, stateToPrepare, storePrepared } from '../usecases/sales/prepareAnswers.ts';
import type { JobLog } from './planJob.ts';
import type { KeptTask, QuestionTask, RefineTask } from './planWorker.ts';

/** Last resorts, far beyond what answers take: they count steps, not seconds (askTrials.ts). */
const SECONDS_FIRST = 30;
const SECONDS_REFINED = 300;
/** The last resort for the plan of all orders of a product; its steps are counted. */
const SECONDS_KEPT = 120;
/** Sellers who may wait for a first answer at the same time. */
const MOST_ASKED = 20;
const MOST_REFINED = 50;
/** Changes often come together: so long after the last one, ms, the products are looked through. */
const SETTLE_MS = 1500;

export interface QuestionDesk {
  /** Works out a first answer. Refuses with planner-busy. */
  think: Think;
  /** Looks at an answer a second time, in the background. Returns at once. */
  refine(id: number): void;
  /** Is the second look still to come? */
  isRefining(id: number): boolean;
  /** Stock or orders may have changed: what each product's orders keep is brought up to date. Returns at once. */
  prepare(today: IsoDate): void;
  /** Ends the workers; what is under way in the background is dropped. */
  stop(): Promise<void>;
}

/** `answers` works on first answers alone, `behind` on everything that can wait. */
export function questionDesk(db: Knex, answers: Piscina, behind: Piscina, log: JobLog): QuestionDesk {
  const refining = new Map<number, Promise<void>>();
  const abort = new AbortController();
  const { signal } = abort;
  const preparing = preparer((today) => prepareAll(db, behind, today, signal), signal, log);
  let asked = 0;

  const look = async (id: number) => {
    const found = await answerToRefine(db, id);
    if (!found) return;
    const task: RefineTask = { ...found.task, planningSeconds: SECONDS_KEPT, seconds: SECONDS_REFINED };
    await storeRefined(db, id, found.hash, await behind.run(task, { name: 'refineInWorker', signal }));
  };

  return {
    async think(state, question, kept, before) {
      if (asked >= MOST_ASKED) throw new Refusal('planner-busy', { waiting: asked });
      asked += 1;
      const task: QuestionTask = { state, question, kept, before, seconds: SECONDS_FIRST };
      try {
        return await answers.run(task, { name: 'questionInWorker' });
      } finally {
        asked -= 1;
      }
    },
    refine(id) {
      if (refining.has(id) || refining.size >= MOST_REFINED || signal.aborted) return;
      const done = look(id)
        .catch((error: unknown) => {
          if (!signal.aborted) log.error({ err: error, answer: id }, 'an answer could not be refined');
        })
        .finally(() => refining.delete(id));
      refining.set(id, done);
    },
    isRefining: (id) => refining.has(id),
    prepare: preparing.soon,
    async stop() {
      abort.abort();
      await Promise.all([...refining.values(), preparing.ended()]);
      await Promise.all([answers.destroy(), behind.destroy()]);
    },
  };
}

/** Product by product, so that each is planned on what is there when its turn comes. */
async function prepareAll(db: Knex, behind: Piscina, today: IsoDate, signal: AbortSignal): Promise<void> {
  for (const product of await productsAsked(db)) {
    if (signal.aborted) return;
    // What cannot be planned as it is stored is said to whoever asks, not here.
    const found = await stateToPrepare(db, today, product).catch((error: unknown) => {
      if (!(error instanceof Refusal)) throw error;
    });
    if (!found) continue;
    const task: KeptTask = { ...found.task, seconds: SECONDS_KEPT };
    await storePrepared(db, found, await behind.run(task, { name: 'keptInWorker', signal }));
  }
}

/** Runs `work` a while after it was last asked for, one at a time. */
function preparer(work: (today: IsoDate) => Promise<void>, signal: AbortSignal, log: JobLog) {
  let timer: NodeJS.Timeout | undefined;
  let running: Promise<void> = Promise.resolve();
  signal.addEventListener('abort', () => clearTimeout(timer));
  return {
    soon(today: IsoDate) {
      if (signal.aborted) return;
      clearTimeout(timer);
      timer = setTimeout(() => {
        running = running
          .then(() => work(today))
          .catch((error: unknown) => {
            if (!signal.aborted) log.error({ err: error }, 'the answers of sales could not be prepared');
          });
      }, SETTLE_MS).unref();
    },
    ended: () => running,
  };
}
