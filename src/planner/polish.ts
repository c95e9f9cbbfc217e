// An integer program over the columns met while bounding and diving, started from the best plan so far. Small node
// limits: it is meant to find, not to prove.
import type { PlanControl } from '../domain/plan.ts';
import type { Relaxation } from './bounding.ts';
import { solveColumnMip } from './columnMip.ts';
import { type Column, layoutColumn, patternColumn } from './columns.ts';
import type { IntegerPlan } from './integerPlan.ts';
import { listLayouts } from './listLayouts.ts';
import type { Model } from './model.ts';

const MOST_COLUMNS = 4_000;
const MOST_LAYOUTS = 2_000;
const NODES = 3_000;
const SHARE_OF_TIME = 0.4;

export function polish(
  model: Model,
  columns: Column[],
  root: Relaxation,
  plan: IntegerPlan,
  control: PlanControl,
): IntegerPlan | undefined {
  const own = [
    ...plan.sets.map(({ pattern }) => patternColumn(model, pattern)),
    ...plan.layouts.map(({ layout }) => layoutColumn(model, layout)),
  ];
  const pool = [...own, ...columns.slice(-MOST_COLUMNS), ...partialLayouts(model, root, plan)];
  const gap = model.costStep > 0 ? 0.999 * model.costStep : 1e-7;
  const limits = { seconds: SHARE_OF_TIME * control.secondsLeft(), nodes: NODES, absoluteGap: gap };
  return solveColumnMip(model, pool, limits, plan).plan;
}

/** Rolls used in part: the layouts of least reduced cost, as many as the program can bear. */
function partialLayouts(model: Model, root: Relaxation, plan: IntegerPlan): Column[] {
  for (let gap = plan.cost - root.bound; gap > 1e-6; gap /= 2) {
    const layouts = listLayouts(model, root.worth, gap, MOST_LAYOUTS);
    if (layouts) return layouts.map((layout) => layoutColumn(model, layout));
  }
  return [];
}
