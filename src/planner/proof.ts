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
import { setupsCount } from './setups.ts';

export interface Proof {
  plan: IntegerPlan | undefined;
  bound: number;
}

const MOST_COLUMNS = 12_000;
const NODES = 20_000;

/** `bound`: the best proven so far; `setups`: what of it is for set-ups. */
export function prove(
  model: Model,
  root: Relaxation,
  plan: IntegerPlan,
  { bound, setups }: { bound: number; setups: number },
  control: PlanControl,
  mostPatterns: number,
): Proof {
  const slack = 1e-6 * Math.max(1, Math.abs(plan.cost));
  const gap = stepBelow(model, plan.cost - setups) - root.bound + slack;
  const pool = listColumns(model, root, gap, setupsCount(model) || mostPatterns < Infinity);
  if (!pool) return { plan: undefined, bound };
  const limits = { seconds: control.secondsLeft(), nodes: NODES, absoluteGap: closeEnough(model) };
  const { plan: found, result } = solvePlanMip(model, pool, limits, undefined, mostPatterns);
  // a plan that uses no unlisted column is bounded by the program; one that does costs no less than the one in hand
  const listed = setupsCount(model) ? result.bound : roundUp(model, result.bound);
  return { plan: found, bound: Math.max(bound, Math.min(plan.cost, listed)) };
}

/** The most that a cheaper plan can cost without its set-ups. */
function stepBelow({ costStep }: Model, cost: number): number {
  return costStep === 0 ? cost : costStep * (Math.ceil(cost / costStep - 1e-6) - 1);
}

/** How near to its bound an integer program may stop: within a step of the cost there is no better plan. */
export function closeEnough(model: Model): number {
  return model.costStep > 0 && !setupsCount(model) ? 0.999 * model.costStep : 1e-7;
}

function listColumns(model: Model, root: Relaxation, gap: number, settings: boolean): Pool | undefined {
  const patterns = listPatterns(model, root.worth, gap, MOST_COLUMNS, settings);
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
