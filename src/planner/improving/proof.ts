// Reduced-cost fixing: at the relaxation's duals every column of a plan cheaper than the one in hand has a reduced cost
// below the gap. All those sets and layouts are listed; an integer program over the list finds the cheaper plan or
// proves that there is none. When the list would be too long the bound stays as it is.
import type { PlanControl } from '../../domain/plan.ts';
import { leastForShort, type Relaxation, roundUp } from '../bounding/bounding.ts';
import { listLayouts } from '../bounding/listLayouts.ts';
import { listPatterns } from '../bounding/listPatterns.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import { isPlain } from '../building/partRolls.ts';
import { type Pool, solvePlanMip } from '../building/planMip.ts';
import { stripsMade } from '../model/equalSites.ts';
import type { Layout, Model } from '../model/model.ts';
import { setupsCount, standingKnives } from '../model/setups.ts';

export interface Proof {
  plan: IntegerPlan | undefined;
  bound: number;
}

const MOST_COLUMNS = 12_000;
const NODES = 20_000;

/** `bound`: the best proven so far; `setups`: what of it is for set-ups. */
export function prove(
  whole: Model,
  root: Relaxation,
  plan: IntegerPlan,
  { bound, setups }: { bound: number; setups: number },
  control: PlanControl,
  mostPatterns: number,
): Proof {
  // only plans that fall short of nothing cost a whole number of steps
  const inSteps = root.bound + leastForShort(whole, root) + setups >= plan.cost;
  const model = inSteps ? whole : { ...whole, costStep: 0 };
  const slack = 1e-6 * Math.max(1, Math.abs(plan.cost));
  const gap = stepBelow(model, plan.cost - setups) - root.bound + slack;
  const pool = listColumns(model, root, gap, setupsCount(model) || mostPatterns < Infinity);
  if (!pool) return { plan: undefined, bound };
  const limits = { seconds: control.secondsLeft(), nodes: NODES, absoluteGap: closeEnough(model) };
  const solved = solvePlanMip(model, pool, limits, undefined, { mostPatterns, shared: true });
  if (!solved) return { plan: undefined, bound };
  const { plan: found, result } = solved;
  // a plan that uses no unlisted column is bounded by the program; one that does costs no less than the one in hand
  const listed = setupsCount(model) ? result.bound - standingKnives(model) : roundUp(model, result.bound);
  return {
    plan: found && cutsNothing(model, found) ? undefined : found,
    bound: Math.max(bound, Math.min(plan.cost, listed)),
  };
}

/** Whether some set of the plan, everything else cut, makes nothing that must be made or earns something. */
function cutsNothing(model: Model, { sets }: IntegerPlan): boolean {
  const made = stripsMade(model, sets);
  return sets.some(({ pattern: { site, counts } }) =>
    counts.every((n, k) => {
      const d = model.sites[site].demands[k];
      const { min, max, valuePerRoll } = model.demands[d];
      return n === 0 || made[d] - n >= (valuePerRoll > 0 ? max : min);
    }),
  );
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
  const patterns = listPatterns(model, root.proven, gap, MOST_COLUMNS, settings);
  if (!patterns) return undefined;
  const layouts: Layout[] = [];
  for (const source of model.sources) {
    if (isPlain(model, source) && model.stock[source.stock].count === 1) continue;
    const listed = listLayouts(model, root.proven, gap, MOST_COLUMNS - layouts.length, source);
    if (!listed) return undefined;
    layouts.push(...listed);
  }
  return { patterns, layouts };
}
