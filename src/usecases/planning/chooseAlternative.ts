// Takes another point of a plan's curve of cost against set-ups: it becomes a plan of its own, from the same frozen
// problem, checked once more before it is stored. It keeps the whole curve, so that one can go back.
import { isDeepStrictEqual } from 'node:util';
import type { Knex } from 'knex';
import type { Plan } from '../../domain/plan.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import { checkPlan, printPlanFault } from '../../planner/checkPlan.ts';
import { insertFinishedPlan } from '../../store/plans.ts';
import { readFinishedPlan } from './readPlan.ts';

const FAULTS_TOLD = 3;

/**
 * Stores alternative `asked` of plan `planId` ("1" is the first) as a plan of its own. @returns its number.
 * Refuses with not-found, plan-not-finished, no-such-alternative or alternative-breaks-limit.
 */
export async function chooseAlternative(db: Knex, planId: number, asked: string): Promise<number> {
  const { title, products, secondsLimit, problem, plan } = await readFinishedPlan(db, planId);
  const alternatives = plan.alternatives ?? [];
  const chosen = /^[1-9]\d{0,2}$/.test(asked) ? alternatives[Number(asked) - 1] : undefined;
  if (!chosen) throw new Refusal('no-such-alternative', { id: planId, asked, many: alternatives.length });
  const read = parseProblem(problem);
  if (!read.ok) throw new Error(`the stored problem of plan ${planId} can no longer be read`);
  const faults = checkPlan(read.problem, chosen).slice(0, FAULTS_TOLD).map(printPlanFault);
  if (faults.length > 0) throw new Refusal('alternative-breaks-limit', { id: planId, faults });
  const kept = { title, products, secondsLimit, problem, parentId: planId };
  return insertFinishedPlan(db, { ...kept, plan: { ...chosen, alternatives: theOthers(plan, chosen) } });
}

/** The rest of the curve as seen from `chosen`, fewest set-ups first; no plan in it carries a curve of its own. */
function theOthers({ alternatives = [], ...plan }: Plan, chosen: Plan): Plan[] {
  const others = [plan, ...alternatives].filter((other) => other !== chosen);
  return others.sort((a, b) => a.cost.setups - b.cost.setups);
}

/** Whether `plan` is a point of the curve of `other`. */
export const isOnCurveOf = (other: Plan, plan: Plan): boolean =>
  (other.alternatives ?? []).some(
    ({ runs, purchases }) =>
      isDeepStrictEqual(runs, plan.runs) && isDeepStrictEqual(purchases, plan.purchases),
  );
