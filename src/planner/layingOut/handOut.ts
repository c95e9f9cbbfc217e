// The first whole plan, laid out and handed to whoever listens while the search for a better one goes on.
import type { PlanControl } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { type Relaxation, roundUp } from '../bounding/bounding.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import type { Model } from '../model/model.ts';
import { assemblePlan } from './assemble.ts';

/** Nothing is handed out when the plan is proved already, or when it cuts a roll after its use-by day. */
export function handOut(
  problem: Problem,
  model: Model,
  plan: IntegerPlan | undefined,
  root: Relaxation,
  control: PlanControl,
): void {
  if (!control.first || !plan || plan.cost <= roundUp(model, root.bound)) return;
  const proof = { bound: root.bound, worth: root.worth.strip, outOfTime: true };
  const laidOut = assemblePlan(problem, model, plan, proof);
  if (laidOut.overdue.length === 0) control.first(laidOut.plan);
}
