// From a problem document to a plan that may be shown: read strictly, plan, check independently.
// A plan that fails its check is a bug of the planner and is never handed out as a plan.
import type { Plan, PlanControl } from '../domain/plan.ts';
import { type Fault, parseProblem } from '../domain/problemDocument.ts';
import { checkPlan, printPlanFault } from '../planner/checkPlan.ts';
import { planSlitting } from '../planner/planSlitting.ts';

export type MadePlan =
  | { ok: true; plan: Plan }
  /** The document is not a valid problem. */
  | { ok: false; why: 'problem'; faults: Fault[] }
  /** The planner made a plan that breaks a limit: a bug. */
  | { ok: false; why: 'plan'; faults: string[] };

/** Plans `document` (a lanewright-problem/1 object, text or bytes). CPU heavy: call it in a worker or a command. */
export function makePlan(document: unknown, control?: PlanControl): MadePlan {
  const read = parseProblem(document);
  if (!read.ok) return { ok: false, why: 'problem', faults: read.faults };
  const plan = planSlitting(read.problem, control);
  const faults = checkPlan(read.problem, plan);
  if (faults.length > 0) return { ok: false, why: 'plan', faults: faults.map(printPlanFault) };
  return { ok: true, plan };
}
