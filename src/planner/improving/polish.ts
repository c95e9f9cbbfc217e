// An integer program over the patterns met while bounding and diving, started from the best plan so far. Small node
// limits: it is meant to find, not to prove.
import type { PlanControl } from '../../domain/plan.ts';
import type { Relaxation } from '../bounding/bounding.ts';
import { listLayouts } from '../bounding/listLayouts.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import { isPlain } from '../building/partRolls.ts';
import { type Pool, solvePlanMip } from '../building/planMip.ts';
import { type Column, patternKey } from '../model/columns.ts';
import type { Layout, Model, Pattern } from '../model/model.ts';
import { closeEnough } from './proof.ts';

const MOST_PATTERNS = 1_500;
const MOST_LAYOUTS = 400;
const NODES = 1_500;
const SHARE_OF_TIME = 0.3;

export function polish(
  model: Model,
  columns: Column[],
  root: Relaxation,
  plans: IntegerPlan[],
  plan: IntegerPlan,
  control: PlanControl,
  mostPatterns: number,
): IntegerPlan | undefined {
  const pool = poolOf(model, columns, root, plans, plan);
  const seconds = SHARE_OF_TIME * control.secondsLeft();
  const limits = { seconds, nodes: NODES, absoluteGap: closeEnough(model) };
  return solvePlanMip(model, pool, limits, plan, { mostPatterns, shared: false })?.plan;
}

function poolOf(
  model: Model,
  columns: Column[],
  root: Relaxation,
  plans: IntegerPlan[],
  plan: IntegerPlan,
): Pool {
  const patterns = new Map<string, Pattern>();
  const layouts = new Map<string, Layout>();
  const add = (pattern: Pattern) => patterns.set(patternKey(pattern), pattern);
  for (const { sets } of plans) for (const { pattern } of sets) add(pattern);
  for (const column of columns.slice(-MOST_PATTERNS)) {
    if (column.kind === 'pattern') add(column.pattern);
    if (column.kind === 'layout' && needsList(model, column.layout)) layouts.set(column.key, column.layout);
  }
  const own = plan.layouts.map(({ layout }) => layout);
  return {
    patterns: [...patterns.values()],
    layouts: [...new Set([...own, ...layouts.values(), ...goodLayouts(model, root, plan)])],
  };
}

/** A single roll without bad places has variables of its own in the program; others are listed. */
function needsList(model: Model, { source }: Layout): boolean {
  return !isPlain(model, model.sources[source]) || model.stock[model.sources[source].stock].count > 1;
}

/** Layouts of least reduced cost for the rolls that need a list, as many as the program can bear. */
export function goodLayouts(
  model: Model,
  root: Relaxation,
  plan: IntegerPlan,
  most = MOST_LAYOUTS,
): Layout[] {
  const listed = model.sources.filter((source) =>
    needsList(model, { source: source.index, path: [], endMm: 0 }),
  );
  return listed.flatMap((source) => {
    for (let gap = plan.cost - root.bound; gap > 1e-6; gap /= 2) {
      const layouts = listLayouts(model, root.worth, gap, most, source);
      if (layouts) return layouts;
    }
    return [];
  });
}
