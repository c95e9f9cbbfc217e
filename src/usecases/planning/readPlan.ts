// Opens a stored plan: its frozen problem, how far it is, and the plan when there is one.
import type { Knex } from 'knex';
import type { Plan } from '../../domain/plan.ts';
import { Refusal } from '../../domain/refusal.ts';
import type { PlanRowStatus } from '../../store/planSummaries.ts';
import { findPlan, findPlanStatus, type StoredPlan } from '../../store/plans.ts';

export type { PlanRowStatus } from '../../store/planSummaries.ts';
export type { StoredPlan } from '../../store/plans.ts';

/** One plan by its number. Refuses with not-found. */
export async function readPlan(db: Knex, id: number): Promise<StoredPlan> {
  const plan = await findPlan(db, id);
  if (!plan) throw new Refusal('not-found', { what: 'plan', code: id });
  return plan;
}

/** A plan that is done, for its file or a comparison. Refuses with not-found or plan-not-finished. */
export async function readFinishedPlan(db: Knex, id: number): Promise<StoredPlan & { plan: Plan }> {
  const stored = await readPlan(db, id);
  if (!stored.plan) throw new Refusal('plan-not-finished', { id, status: stored.status });
  return { ...stored, plan: stored.plan };
}

/** How a plan stands; undefined when there is none. */
export const readPlanStatus = (db: Knex, id: number): Promise<PlanRowStatus | undefined> =>
  findPlanStatus(db, id);
