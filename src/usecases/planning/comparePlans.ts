// Two finished plans side by side: are they for the same problem, are they the same plan, and how do they differ.
import { isDeepStrictEqual } from 'node:util';
import type { Knex } from 'knex';
import type { Plan } from '../../domain/plan.ts';
import { knifeSetting } from '../../domain/planCounts.ts';
import { isOnCurveOf } from './chooseAlternative.ts';
import { readFinishedPlan, type StoredPlan } from './readPlan.ts';

export interface PlanComparison {
  left: StoredPlan & { plan: Plan };
  right: StoredPlan & { plan: Plan };
  sameProblem: boolean;
  /** Equal in every field. */
  samePlan: boolean;
  /** The second is another point of the first one's curve of cost against set-ups. */
  onCurve: boolean;
  /** Settings of the knives on a slitter, each once: in both plans, and only in the second. */
  setUps: { same: number; fresh: number };
  /** Equal in runs, rolls, orders and stubs, though perhaps not in what was proved about it. */
  sameRuns: boolean;
}

/** Reads and compares two plans. Refuses with not-found or plan-not-finished. */
export async function comparePlans(db: Knex, leftId: number, rightId: number): Promise<PlanComparison> {
  const [left, right] = [await readFinishedPlan(db, leftId), await readFinishedPlan(db, rightId)];
  const work = ({ runs, coating, purchases, stubs }: Plan) => ({ runs, coating, purchases, stubs });
  return {
    left,
    right,
    sameProblem: isDeepStrictEqual(left.problem, right.problem),
    samePlan: isDeepStrictEqual(left.plan, right.plan),
    onCurve: isOnCurveOf(left.plan, right.plan),
    setUps: compareSetUps(left.plan, right.plan),
    sameRuns: isDeepStrictEqual(work(left.plan), work(right.plan)),
  };
}

function compareSetUps(left: Plan, right: Plan): PlanComparison['setUps'] {
  const settings = ({ runs }: Plan) => new Set(runs.map(knifeSetting));
  const before = settings(left);
  const now = [...settings(right)];
  const same = now.filter((setting) => before.has(setting)).length;
  return { same, fresh: now.length - same };
}
