// Cancels a plan that waits or runs. The worker that runs it is stopped by the jobs, not here.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { updateCancelled } from '../../store/plans.ts';
import { readPlanStatus } from './readPlan.ts';

/** Marks the plan cancelled. Refuses with not-found, or with plan-has-ended when it is too late. */
export async function cancelPlan(db: Knex, id: number): Promise<void> {
  if (await updateCancelled(db, id)) return;
  const status = await readPlanStatus(db, id);
  if (status === undefined) throw new Refusal('not-found', { what: 'plan', code: id });
  throw new Refusal('plan-has-ended', { id, status });
}
