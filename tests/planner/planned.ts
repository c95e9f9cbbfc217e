// Plans a document the way the program does, reading it strictly and checking the plan, and hands out the plan.
import type { Plan, PlanProgress } from '../../src/domain/plan.ts';
import { parseProblem, printFault } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { planSlitting } from '../../src/planner/planSlitting.ts';

/** Seconds by the clock on the wall. */
const wallClock = () => performance.now() / 1000;

/** Throws when the document is faulty or the plan fails its check. `report` hears how far it has come. */
export function planned(
  document: ProblemDocument,
  seconds = Number.POSITIVE_INFINITY,
  report: (progress: PlanProgress) => void = () => {},
  clock = wallClock,
): Plan {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(parsed.faults.map(printFault).join('\n'));
  const start = clock();
  const secondsLeft = () => seconds - (clock() - start);
  const plan = planSlitting(parsed.problem, { secondsLeft, report });
  const faults = checkPlan(parsed.problem, plan);
  if (faults.length) throw new Error(faults.map(printPlanFault).join('\n'));
  return plan;
}
