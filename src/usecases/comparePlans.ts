// Two finished plans side by side: are they for the same problem, are they the same plan, and how do they differ.
import { isDeepStrictEqual } from 'node:util';
import type { Knex } from 'knex';
import type { Plan } from '../domain/plan.ts';
import { readFinishedPlan, type StoredPlan } from './readPlan.ts';

export interface PlanComparison {
  left: StoredPlan & { plan: Plan };
  right: StoredPlan & { plan: Plan };
  sameProblem: boolean;
  /** Equal in every field. */
  samePlan: boolean;
  /** Equal in runs, rolls, orders and stubs, though perhaps not in what was proved about it. */
  sameRuns: boolean;
}

/** Reads and compares two plans. Refuses with not-found or plan-not-finished. */
export async function comparePlans(db: Knex, leftId: number, rightId: number): Promise<PlanComparison> {
  const [left, right] = [await readFinishedPlan(db, leftId), await readFinishedPlan(db, rightId)];
  const work = ({ runs, coating, purchases, stubs }: Plan) => ({ runs, coating, purchases, stubs });
  return {
    left,
    right,
    sameProblem: isDeepStrictEqual(left.problem, right.problem),
    samePlan: isDeepStrictEqual(left.plan, right.plan),
    sameRuns: isDeepStrictEqual(work(left.plan), work(right.plan)),
  };
}
