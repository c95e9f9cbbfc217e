// Questions about a plan's problem go through the same workers as plans, so that no page waits for one. Who asks what is
// being worked out already gets the same answer; more than a few at a time are refused.
import type { Piscina } from 'piscina';
import type { Insight } from '../domain/insight.ts';
import { Refusal } from '../domain/refusal.ts';
import type { InsightTask } from './planWorker.ts';

/** Time that one answer may take; below the grace that a waiting plan has (see planJob.ts). */
const SECONDS = 20;
/** Longest wait of the one who asks, the worker's other work included. */
const SECONDS_OF_WAITING = 90;
const MOST_ASKED = 4;

export type AskInsight = (id: number, document: unknown) => Promise<Insight>;

/** Asks for the insight into the problem of plan `id`. Refuses with planner-busy. */
export function insightDesk(pool: Piscina): AskInsight {
  const asked = new Map<number, Promise<Insight>>();
  return (id, document) => {
    const same = asked.get(id);
    if (same) return same;
    if (asked.size >= MOST_ASKED) throw new Refusal('planner-busy', { waiting: asked.size });
    const answer = inWorker(pool, { document, seconds: SECONDS }, () => asked.size).finally(() =>
      asked.delete(id),
    );
    asked.set(id, answer);
    return answer;
  };
}

async function inWorker(pool: Piscina, task: InsightTask, waiting: () => number): Promise<Insight> {
  const signal = AbortSignal.timeout(SECONDS_OF_WAITING * 1000);
  try {
    return await pool.run(task, { name: 'insightInWorker', signal });
  } catch (error) {
    if (signal.aborted) throw new Refusal('planner-busy', { waiting: waiting() });
    throw error;
  }
}
