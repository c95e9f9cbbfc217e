// Plans a document the way the program does, reading it strictly and checking the plan, and hands out the plan.
import type { Plan, PlanProgress } from '../../src/domain/plan.ts';
import { parseProblem, printFault } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { planSlitting } from '../../src/planner/planSlitting.ts';

/** Throws when the document is faulty or the plan fails its check. `report` hears how far it has come. */
export function planned(
  document: ProblemDocument,
  seconds = Number.POSITIVE_INFINITY,
  report: (progress: PlanProgress) => void = () => {},
): Plan {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(parsed.faults.map(printFault).join('\n'));
  const start = performance.now();
  const secondsLeft = () => seconds - (performance.now() - start) / 1000;
  const plan = planSlitting(parsed.problem, { secondsLeft, report });
  const faults = checkPlan(parsed.problem, plan);
  if (faults.length) throw new Error(faults.map(printPlanFault).join('\n'));
  return plan;
}
