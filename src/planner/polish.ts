// An integer program over the columns met while bounding and diving, started from the best plan so far. Small node
// limits: it is meant to find, not to prove.
import type { PlanControl } from '../domain/plan.ts';
import { solveColumnMip } from './columnMip.ts';
import { type Column, layoutColumn, patternColumn } from './columns.ts';
import type { IntegerPlan } from './integerPlan.ts';
import type { Model } from './model.ts';

const MOST_COLUMNS = 4_000;
const NODES = 3_000;
const SHARE_OF_TIME = 0.4;

export function polish(
  model: Model,
  columns: Column[],
  plan: IntegerPlan,
  control: PlanControl,
): IntegerPlan | undefined {
  const own = [
    ...plan.sets.map(({ pattern }) => patternColumn(model, pattern)),
    ...plan.layouts.map(({ layout }) => layoutColumn(model, layout)),
  ];
  const pool = [...own, ...columns.slice(-MOST_COLUMNS)];
  const gap = model.costStep > 0 ? 0.999 * model.costStep : 1e-7;
  const limits = { seconds: SHARE_OF_TIME * control.secondsLeft(), nodes: NODES, absoluteGap: gap };
  return solveColumnMip(model, pool, limits, plan).plan;
}
