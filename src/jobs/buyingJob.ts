// The purchaser's heavy questions in a worker of their own. Who asks is answered at once when it is quick, else told how far
// it is and asks again; the same question on the same state is worked out once, and the newest answers are kept in memory.
import { createHash } from 'node:crypto';
import { MessageChannel } from 'node:worker_threads';
import type { Piscina } from 'piscina';
import { Refusal } from '../domain/refusal.ts';
import type { BuyingState } from '../usecases/buying/buyingState.ts';
import type { WidthComparison } from '../usecases/buying/compareWidths.ts';
import type { BuyingProposal } from '../usecases/buying/proposeBuying.ts';
import type { WidthQuestion } from '../usecases/buying/widthQuestion.ts';
import type { BuyingProgress, BuyingQuestion, BuyingTask } from './buyingWorker.ts';
import type { JobLog } from './planJob.ts';

/** An answer, or how far it is. */
export type Heard<Answer> = { answer: Answer } | { answer: undefined; progress: BuyingProgress | undefined };

export interface BuyingDesk {
  /** What to buy. Refuses with planner-busy. */
  proposal(state: BuyingState): Promise<Heard<BuyingProposal>>;
  /** Which width to buy. Refuses with planner-busy. */
  widths(question: WidthQuestion): Promise<Heard<WidthComparison>>;
  stop(): Promise<void>;
}

/** Time that one answer may take. */
const SECONDS = 90;
/** So long a page waits before it shows how far the answer is. */
const WAIT_MS = 2500;
const MOST_ASKED = 6;
const MOST_KEPT = 24;

interface Asked {
  done: Promise<unknown>;
  progress: BuyingProgress | undefined;
  ended: boolean;
}

export function buyingDesk(pool: Piscina, log: JobLog): BuyingDesk {
  const asked = new Map<string, Asked>();
  const abort = new AbortController();

  const start = (key: string, question: BuyingQuestion): Asked => {
    const waiting = [...asked.values()].filter(({ ended }) => !ended).length;
    if (waiting >= MOST_ASKED) throw new Refusal('planner-busy', { waiting });
    const { port1, port2 } = new MessageChannel();
    const task: BuyingTask = { asked: question, seconds: SECONDS, port: port2 };
    const done = pool.run(task, { name: 'buyingInWorker', transferList: [port2], signal: abort.signal });
    const one: Asked = { done, progress: undefined, ended: false };
    port1.on('message', (progress: BuyingProgress) => {
      one.progress = progress;
    });
    done
      .catch((error: unknown) => {
        // Asked again it is tried again.
        asked.delete(key);
        if (!abort.signal.aborted) log.error({ err: error }, `${question.kind} could not be worked out`);
      })
      .finally(() => {
        one.ended = true;
        port1.close();
      });
    asked.set(key, one);
    for (const [old, { ended }] of asked) if (asked.size > MOST_KEPT && ended) asked.delete(old);
    return one;
  };

  const hear = async <Answer>(question: BuyingQuestion): Promise<Heard<Answer>> => {
    const key = createHash('sha256').update(JSON.stringify(question)).digest('hex');
    const one = asked.get(key) ?? start(key, question);
    const late = new Promise<void>((resolve) => {
      setTimeout(resolve, WAIT_MS).unref();
    });
    const answer = (await Promise.race([one.done, late])) as Answer | undefined;
    return answer === undefined ? { answer: undefined, progress: one.progress } : { answer };
  };

  return {
    proposal: (state) => hear({ kind: 'proposal', state }),
    widths: (question) => hear({ kind: 'widths', question }),
    async stop() {
      abort.abort();
      await pool.destroy();
    },
  };
}
