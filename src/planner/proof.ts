// Reduced-cost fixing: at the relaxation's duals every column of a plan cheaper than the one in hand has a reduced cost
// below the gap. All those sets and layouts are listed; an integer program over the list finds the cheaper plan or
// proves that there is none. When the list would be too long the bound stays as it is.
import type { PlanControl } from '../domain/plan.ts';
import { type Relaxation, roundUp } from './bounding.ts';
import { solveColumnMip } from './columnMip.ts';
import { type Column, layoutColumn, patternColumn } from './columns.ts';
import type { IntegerPlan } from './integerPlan.ts';
import { listLayouts } from './listLayouts.ts';
import { listPatterns } from './listPatterns.ts';
import type { Model } from './model.ts';

export interface Proof {
  plan: IntegerPlan | undefined;
  bound: number;
}

const MOST_COLUMNS = 12_000;
const NODES = 60_000;

export function prove(model: Model, root: Relaxation, plan: IntegerPlan, control: PlanControl): Proof {
  const nothing = { plan: undefined, bound: roundUp(model, root.bound) };
  const cheaper = plan.cost - Math.max(model.costStep, 0);
  const gap = cheaper - root.bound + 1e-6 * Math.max(1, Math.abs(plan.cost));
  const columns = listColumns(model, root, gap);
  if (!columns) return nothing;
  const absoluteGap = model.costStep > 0 ? 0.999 * model.costStep : 1e-7;
  const limits = { seconds: control.secondsLeft(), nodes: NODES, absoluteGap };
  const { plan: found, result } = solveColumnMip(model, columns, limits, undefined);
  // a plan that uses no unlisted column is bounded by the program; one that does costs no less than the one in hand
  const unlisted = plan.cost;
  return { plan: found, bound: Math.max(nothing.bound, Math.min(unlisted, roundUp(model, result.bound))) };
}

function listColumns(model: Model, root: Relaxation, gap: number): Column[] | undefined {
  const patterns = listPatterns(model, root.worth, gap, MOST_COLUMNS);
  if (!patterns) return undefined;
  const layouts = listLayouts(model, root.worth, gap, MOST_COLUMNS);
  if (!layouts) return undefined;
  return [
    ...patterns.map((pattern) => patternColumn(model, pattern)),
    ...layouts.map((layout) => layoutColumn(model, layout)),
  ];
}
