// Runs a stored plan again from its frozen problem: the same problem gives the same plan, whatever happened to the
// stock since. How the two compare is comparePlans.ts.
import type { Knex } from 'knex';
import { queuePlan } from './queuePlan.ts';
import { readPlan } from './readPlan.ts';

/** Queues the frozen problem of plan `id` once more. @returns the new plan's number. */
export async function runPlanAgain(db: Knex, id: number): Promise<number> {
  const { title, products, problem, secondsLimit } = await readPlan(db, id);
  return queuePlan(db, { title, products, problem, secondsLimit, parentId: id });
}
