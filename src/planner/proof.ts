// Reduced-cost fixing: at the relaxation's duals every column of a plan cheaper than the one in hand has a reduced cost
// below the gap. All those sets and layouts are listed; an integer program over the list finds the cheaper plan or
// proves that there is none. When the list would be too long the bound stays as it is.
import type { PlanControl } from '../domain/plan.ts';
import { type Relaxation, roundUp } from './bounding.ts';
import type { IntegerPlan } from './integerPlan.ts';
import { listLayouts } from './listLayouts.ts';
import { listPatterns } from './listPatterns.ts';
import type { Layout, Model } from './model.ts';
import { isPlain } from './partRolls.ts';
import { type Pool, solvePlanMip } from './planMip.ts';

export interface Proof {
  plan: IntegerPlan | undefined;
  bound: number;
}

const MOST_COLUMNS = 8_000;
const NODES = 60_000;

/** `bound`: the best proven so far, set-ups included. */
export function prove(
  model: Model,
  root: Relaxation,
  plan: IntegerPlan,
  bound: number,
  control: PlanControl,
  mostPatterns: number,
): Proof {
  const cheaper = plan.cost - model.costStep;
  const setups = bound - root.bound;
  const gap =
    cheaper -
    root.bound -
    Math.max(0, model.costStep > 0 ? 0 : setups) +
    1e-6 * Math.max(1, Math.abs(plan.cost));
  const pool = listColumns(model, root, gap);
  if (!pool) return { plan: undefined, bound };
  const absoluteGap = model.costStep > 0 ? 0.999 * model.costStep : 1e-7;
  const limits = { seconds: control.secondsLeft(), nodes: NODES, absoluteGap };
  const { plan: found, result } = solvePlanMip(model, pool, limits, undefined, mostPatterns);
  // a plan that uses no unlisted column is bounded by the program; one that does costs no less than the one in hand
  return { plan: found, bound: Math.max(bound, Math.min(plan.cost, roundUp(model, result.bound))) };
}

function listColumns(model: Model, root: Relaxation, gap: number): Pool | undefined {
  const patterns = listPatterns(model, root.worth, gap, MOST_COLUMNS);
  if (!patterns) return undefined;
  const layouts: Layout[] = [];
  for (const source of model.sources) {
    if (isPlain(model, source) && model.stock[source.stock].count === 1) continue;
    const listed = listLayouts(model, root.worth, gap, MOST_COLUMNS - layouts.length, source);
    if (!listed) return undefined;
    layouts.push(...listed);
  }
  return { patterns, layouts };
}
