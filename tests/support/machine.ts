// A plant with a plan to release: open orders of the demo planned from its stock and stored as the planner made it.
import type { Knex } from 'knex';
import type { Plan } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { insertFinishedPlan } from '../../src/store/plans.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';

/** Plans these orders from the coated rolls of the day, without base film and offers, and stores the plan. */
export async function storePlanOf(
  db: Knex,
  today: IsoDate,
  orders: string[],
  secondsLimit = 3,
): Promise<{ id: number; plan: Plan }> {
  const whole = await buildProblem(db, { orders, planOn: today });
  const problem = { ...whole, offers: [], rolls: whole.rolls?.filter(({ kind }) => kind !== 'base') ?? [] };
  const start = performance.now();
  const made = makePlan(problem, {
    secondsLeft: () => secondsLimit - (performance.now() - start) / 1000,
    report: () => {},
  });
  if (!made.ok) throw new Error(JSON.stringify(made.faults));
  const products = problem.products.map(({ id }) => id);
  const id = await insertFinishedPlan(db, {
    title: products.join(', '),
    products,
    problem,
    secondsLimit,
    plan: made.plan,
  });
  return { id, plan: made.plan };
}

let key = 0;
/** Who acts in tests, with a fresh request key each time. */
export const act = (by = 'Tester') => {
  key += 1;
  return { by, requestKey: `test-key-${key}` };
};
