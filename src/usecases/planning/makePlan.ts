// From a problem document to a plan that may be shown: read strictly, plan, check independently.
// A plan that fails its check is a bug of the planner and is never handed out as a plan.
import type { Plan, PlanControl } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { type Fault, parseProblem } from '../../domain/problemDocument.ts';
import { checkPlan, printPlanFault } from '../../planner/checkPlan.ts';
import { lockedAlone, planAround } from '../../planner/planAround.ts';

export type MadePlan =
  | { ok: true; plan: Plan }
  /** The document is not a valid problem. */
  | { ok: false; why: 'problem'; faults: Fault[] }
  /** The planner made a plan that breaks a limit: a bug. */
  | { ok: false; why: 'plan'; faults: string[] };

/**
 * Plans `document` (a lanewright-problem/1 object, text or bytes). CPU heavy: call it in a worker or a command.
 * `planner` is another one only in tests of the check.
 */
export function makePlan(document: unknown, control?: PlanControl, planner = planAround): MadePlan {
  const read = parseProblem(document);
  if (!read.ok) return { ok: false, why: 'problem', faults: read.faults };
  const lockFaults = faultsOfLocks(read.problem);
  if (lockFaults.length > 0) return { ok: false, why: 'problem', faults: lockFaults };
  const plan = planner(read.problem, control && checkingFirst(read.problem, control));
  const faults = [plan, ...(plan.alternatives ?? [])].flatMap((one) => checkPlan(read.problem, one));
  if (faults.length > 0) return { ok: false, why: 'plan', faults: faults.map(printPlanFault) };
  return { ok: true, plan };
}

/** The first plan is handed on only when it breaks no limit. */
function checkingFirst(problem: Problem, control: PlanControl): PlanControl {
  const { first, ...rest } = control;
  if (!first) return control;
  return { ...rest, first: (plan) => checkPlan(problem, plan).length === 0 && first(plan) };
}

/** Locked runs come from outside: whether they keep the limits of the problem is checked before anything else. */
function faultsOfLocks(problem: Problem): Fault[] {
  if (problem.locks.length === 0) return [];
  return checkPlan(problem, lockedAlone(problem))
    .filter(({ where, rule }) => /^runs\b/.test(where) || rule === 'over-tolerance')
    .map(({ where, rule, expected, found }) => ({
      path: where.startsWith('runs') ? where.replace(/^runs/, 'locks') : 'locks',
      wrong: `breaks the rule ${rule} (${where}: ${found})`,
      right: expected,
    }));
}
