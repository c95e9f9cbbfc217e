// Re-derives every limit and every number of a plan from the problem alone; imports no rule and no row of the planner,
// so that a mistake there cannot hide here. A plan is shown or stored only when this list comes back empty.
// A new limit takes one clause in the file it belongs to; what is charged how is written in checkPlan/costs.ts.
import type { Plan } from '../domain/plan.ts';
import type { Problem } from '../domain/problem.ts';
import { costClauses } from './checkPlan/costs.ts';
import { dateClauses } from './checkPlan/dates.ts';
import { demandClauses } from './checkPlan/demand.ts';
import type { Clause, PlanFault } from './checkPlan/facts.ts';
import { fault, gatherFacts } from './checkPlan/facts.ts';
import { lockedClauses } from './checkPlan/locked.ts';
import { proofClauses } from './checkPlan/proof.ts';
import { rollClauses } from './checkPlan/rolls.ts';
import { runClauses } from './checkPlan/runs.ts';
import { stripClauses } from './checkPlan/strips.ts';
import { supplyClauses } from './checkPlan/supply.ts';
import { yieldClauses } from './checkPlan/yield.ts';

export type { PlanFault } from './checkPlan/facts.ts';

const CLAUSES: Clause[] = [
  ...runClauses,
  ...lockedClauses,
  ...stripClauses,
  ...rollClauses,
  ...supplyClauses,
  ...demandClauses,
  ...dateClauses,
  ...yieldClauses,
  ...costClauses,
  ...proofClauses,
];

/** Every way in which the plan breaks a limit of the problem or states a wrong number; empty when the plan is valid. */
export function checkPlan(problem: Problem, plan: Plan): PlanFault[] {
  if (!allFinite(plan)) return nonNumbersIn(plan, '');
  const facts = gatherFacts(problem, plan);
  return CLAUSES.flatMap((clause) => clause(facts));
}

/** One line for people: where, which rule, what was expected and found. */
export function printPlanFault({ where, rule, expected, found }: PlanFault): string {
  return `${where}: ${rule}: expected ${expected}, found ${found}`;
}

function allFinite(value: unknown): boolean {
  if (typeof value === 'number') return Number.isFinite(value);
  if (typeof value !== 'object' || value === null) return true;
  for (const key in value) if (!allFinite((value as Record<string, unknown>)[key])) return false;
  return true;
}

/** Where they are; looked for only when there are any. */
function nonNumbersIn(value: unknown, where: string): PlanFault[] {
  if (typeof value === 'number')
    return Number.isFinite(value) ? [] : [fault(where, 'finite-numbers', 'a finite number', value)];
  if (Array.isArray(value)) return value.flatMap((item, index) => nonNumbersIn(item, `${where}[${index}]`));
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, item]) => nonNumbersIn(item, where ? `${where}.${key}` : key));
}
