// Customers' questions, apart from the plans so that no seller waits behind one: first answers, and what the orders of each
// product keep after stock or orders have changed, in workers of their own; second looks in another. A question that comes
// before it is known what the orders keep waits for it a moment; then it is answered with what is certain without, and again
// as soon as it is known. What is being looked at is not looked at twice; what a stop interrupts is asked for again by its page.
import type { Knex } from 'knex';
import type { Piscina } from 'piscina';
import type { Kept } from '../domain/answer.ts';
import { Refusal } from '../domain/refusal.ts';
import type { IsoDate } from '../domain/units.ts';
import {
  type Asked,
  answerToRefine,
  storeFirst,
  storeRefined,
  type Think,
} from '../usecases/sales/askQuestion.ts';
import { type FirstLook, notKnownYet } from '../usecases/sales/firstLook.ts';
import {
  productsAsked,
  stateToPrepare,
  storePrepared,
  type ToPrepare,
} from '../usecases/sales/prepareAnswers.ts';
import { afterSettling } from './afterSettling.ts';
import type { JobLog } from './planJob.ts';
import type { KeptTask, QuestionTask, RefineTask } from './planWorker.ts';

/** Last resorts, far beyond what answers take: they count steps, not seconds (askTrials.ts). */
const SECONDS_FIRST = 30;
const SECONDS_REFINED = 300;
/** The last resort for the plan of all orders of a product; its steps are counted. */
const SECONDS_KEPT = 120;
/** So long, ms, a first answer waits for what the orders keep: somebody stands there with a customer. */
const WAIT_MS = 1400;
/** After so long, ms, it says that it is being worked out, however busy the computer is. */
const MOST_MS = 1800;
/** First looks under way at the same time; who asks beyond is told that it is being worked out. */
const MOST_ASKED = 20;
const MOST_REFINED = 50;
/** So long after the last change, ms, the products are looked through. */
const SETTLE_MS = 1500;

export interface QuestionDesk {
  /** Works out a first answer. */
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

/** `answers` works on first answers and what they need, `behind` on second looks. */
export function questionDesk(db: Knex, answers: Piscina, behind: Piscina, log: JobLog): QuestionDesk {
  const refining = new Map<number, Promise<void>>();
  const abort = new AbortController();
  const { signal } = abort;
  const keep = keeper(db, answers, signal);
  const preparing = afterSettling(
    (today: IsoDate) => prepareAll(db, keep, today, signal),
    SETTLE_MS,
    (error) => log.error({ err: error }, 'the answers of sales could not be prepared'),
  );
  let waiting = 0;

  const first = (asked: Asked, onlyCertain = false): Promise<FirstLook> => {
    const { hash, ...looked } = asked;
    const task: QuestionTask = { ...looked, onlyCertain, seconds: SECONDS_FIRST };
    return answers.run(task, { name: 'questionInWorker' });
  };
  /** Waits a moment for what the orders keep, unless something is certain without. */
  const firstOfUnknown = async (asked: Asked): Promise<FirstLook> => {
    const { hash, state, before } = asked;
    // What cannot be planned is told by the second look.
    const soon = keep({ hash, task: { state, before } }).catch(() => undefined);
    const waited = Promise.race([soon, nothingAfter(WAIT_MS)]);
    const certain = await first(asked, true);
    if (certain.answer.verdict !== 'working') return certain;
    const kept = await waited;
    return kept ? await first({ ...asked, kept }) : certain;
  };
  const look = async (id: number) => {
    const found = await answerToRefine(db, id);
    if (!found) return;
    const { hash } = found;
    const { answer, ...known } = found.task;
    known.kept ??= await keep({ hash, task: known });
    if (answer.verdict === 'working')
      await storeFirst(db, id, await first({ hash, ...known, question: answer.question }));
    const task: RefineTask = { ...known, answer, planningSeconds: SECONDS_KEPT, seconds: SECONDS_REFINED };
    await storeRefined(db, id, hash, await behind.run(task, { name: 'refineInWorker', signal }));
  };

  return {
    async think(asked) {
      if (waiting >= MOST_ASKED) return notKnownYet(asked.state, asked.question);
      waiting += 1;
      const isKnown = asked.kept !== undefined || asked.state.document.orders.length === 0;
      const seen = (isKnown ? first(asked) : firstOfUnknown(asked)).finally(() => {
        waiting -= 1;
      });
      // Nobody may be left to hear of a failure: the second look will say it.
      seen.catch(() => {});
      const soon = await Promise.race([seen, nothingAfter(MOST_MS)]);
      return soon ?? notKnownYet(asked.state, asked.question);
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
      await Promise.all([...refining.values(), preparing.stop()]);
      await Promise.all([answers.destroy(), behind.destroy()]);
    },
  };
}

type Keep = (state: ToPrepare) => Promise<Kept>;

/** Plans and stores what the orders of a state keep; whoever asks for it meanwhile gets the same. */
function keeper(db: Knex, answers: Piscina, signal: AbortSignal): Keep {
  const underWay = new Map<string, Promise<Kept>>();
  const plan = async (found: ToPrepare): Promise<Kept> => {
    const { state, before } = found.task;
    const task: KeptTask = { state, before, seconds: SECONDS_KEPT };
    const kept: Kept = await answers.run(task, { name: 'keptInWorker', signal });
    await storePrepared(db, found, kept);
    return kept;
  };
  return (found) => {
    const known = underWay.get(found.hash);
    if (known) return known;
    const planned = plan(found).finally(() => underWay.delete(found.hash));
    underWay.set(found.hash, planned);
    // Whoever still waits for it hears of a failure.
    planned.catch(() => {});
    return planned;
  };
}

const nothingAfter = (ms: number): Promise<undefined> =>
  new Promise((resolve) => setTimeout(resolve, ms, undefined).unref());

/** Product by product, so that each is planned on what is there when its turn comes. */
async function prepareAll(db: Knex, keep: Keep, today: IsoDate, signal: AbortSignal): Promise<void> {
  for (const product of await productsAsked(db)) {
    if (signal.aborted) return;
    // What cannot be planned as it is stored is said to whoever asks, not here.
    const found = await stateToPrepare(db, today, product).catch((error: unknown) => {
      if (!(error instanceof Refusal)) throw error;
    });
    if (found) await keep(found);
  }
}
