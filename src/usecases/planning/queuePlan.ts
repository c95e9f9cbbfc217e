// The one way into the queue: a faultless problem document becomes a waiting plan, unless too many wait already.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { countQueued, insertPlan, type NewPlan } from '../../store/plans.ts';

/** Plans that may wait. With one worker and the usual time limit, more than this is over an hour of waiting. */
const MOST_WAITING = 100;

export const SECONDS_USUAL = 20;
export const SECONDS_MOST = 600;

/** Stores the plan request. @returns the plan's number. Refuses with plan-queue-full. */
export async function queuePlan(db: Knex, plan: NewPlan): Promise<number> {
  return db.transaction(async (trx) => {
    const waiting = await countQueued(trx);
    if (waiting >= MOST_WAITING) throw new Refusal('plan-queue-full', { waiting });
    return insertPlan(trx, plan);
  });
}
