// Customers' questions: the first answer in a worker of their own, so that a seller does not wait behind a plan; the second
// look behind the plans. What is being looked at is not looked at twice; what a stop interrupts is asked for again by its page.
import type { Knex } from 'knex';
import type { Piscina } from 'piscina';
import { Refusal } from '../domain/refusal.ts';
import { answerToRefine, storeRefined, type Think } from '../usecases/askQuestion.ts';
import type { JobLog } from './planJob.ts';
import type { QuestionTask, RefineTask } from './planWorker.ts';

/** Far beyond what a first answer takes on a computer with time: it counts steps, not seconds (askTrials.ts). */
const SECONDS_FIRST = 8;
const SECONDS_REFINED = 12;
/** Sellers who may wait for a first answer at the same time. */
const MOST_ASKED = 20;
const MOST_REFINED = 50;

export interface QuestionDesk {
  /** Works out a first answer. Refuses with planner-busy. */
  think: Think;
  /** Looks at an answer a second time, in the background. Returns at once. */
  refine(id: number): void;
  /** Is the second look still to come? */
  isRefining(id: number): boolean;
  /** Ends the worker; second looks under way are dropped. */
  stop(): Promise<void>;
}

/** `answers` works on first answers alone, `plans` on everything that can wait. */
export function questionDesk(db: Knex, answers: Piscina, plans: Piscina, log: JobLog): QuestionDesk {
  const refining = new Map<number, Promise<void>>();
  const abort = new AbortController();
  let asked = 0;

  const look = async (id: number) => {
    const found = await answerToRefine(db, id);
    if (!found) return;
    const task: RefineTask = { ...found, seconds: SECONDS_REFINED };
    const refined = await plans.run(task, { name: 'refineInWorker', signal: abort.signal });
    await storeRefined(db, id, refined);
  };

  return {
    async think(state, question, kept) {
      if (asked >= MOST_ASKED) throw new Refusal('planner-busy', { waiting: asked });
      asked += 1;
      const task: QuestionTask = { state, question, kept, seconds: SECONDS_FIRST };
      try {
        return await answers.run(task, { name: 'questionInWorker' });
      } finally {
        asked -= 1;
      }
    },
    refine(id) {
      if (refining.has(id) || refining.size >= MOST_REFINED || abort.signal.aborted) return;
      const done = look(id)
        .catch((error: unknown) => {
          if (!abort.signal.aborted) log.error({ err: error, answer: id }, 'an answer could not be refined');
        })
        .finally(() => refining.delete(id));
      refining.set(id, done);
    },
    isRefining: (id) => refining.has(id),
    async stop() {
      abort.abort();
      await Promise.all(refining.values());
      await answers.destroy();
    },
  };
}
