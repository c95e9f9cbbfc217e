// The queue of plans as the jobs see it: take the next, keep its progress, end it, or take up again after a stop.
import type { Knex } from 'knex';
import type { Plan, PlanProgress } from '../../domain/plan.ts';
import {
  endPlan,
  endWithFirstPlan,
  recoverInterrupted,
  requeuePlan,
  type StoredPlan,
  takeNextPlan,
  updateFirstPlan,
  updateProgress,
} from '../../store/plans.ts';

/** A plan that was running at so many stops of the program is not tried again: it may be what stops it. */
const MOST_INTERRUPTIONS = 2;
const INTERRUPTED = `The program stopped ${MOST_INTERRUPTIONS} times while it worked on this plan, so it is not tried again by itself. Run it again, with fewer orders or less time.`;

/** The plan that has waited longest, now marked running; undefined when none waits. */
export const nextPlan = (db: Knex): Promise<StoredPlan | undefined> => takeNextPlan(db);

export const keepProgress = (db: Knex, id: number, progress: PlanProgress): Promise<void> =>
  updateProgress(db, id, progress);

/** Keeps the first whole plan, checked, while the search goes on. */
export const keepFirstPlan = (db: Knex, id: number, plan: Plan): Promise<void> =>
  updateFirstPlan(db, id, plan);

/** Takes the first plan for the whole, when no better one will come. @returns false when there was none. */
export const settleForFirstPlan = (db: Knex, id: number): Promise<boolean> => endWithFirstPlan(db, id);

/** Stores a checked plan. @returns false when it was cancelled meanwhile, and then nothing is stored. */
export const storePlan = (db: Knex, id: number, plan: Plan): Promise<boolean> =>
  endPlan(db, id, { status: 'done', plan });

/** Ends a plan without a result; `words` tell the planner why. */
export const storeFailure = (db: Knex, id: number, words: string): Promise<boolean> =>
  endPlan(db, id, { status: 'failed', error: words });

/** Puts a running plan back for the next start. */
export const putBack = (db: Knex, id: number): Promise<void> => requeuePlan(db, id);

/** At start: what was running when the program stopped waits again, or fails with words. */
export const recoverPlans = (db: Knex): Promise<{ again: number; failed: number }> =>
  recoverInterrupted(db, MOST_INTERRUPTIONS, INTERRUPTED);
