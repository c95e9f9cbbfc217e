// The whole plan as one integer program over given patterns and layouts: sets, rolls, shortfall, and a binary for every
// place of the knives, so that set-ups count. A roll without bad places that is used in part needs no list of layouts:
// how many sets of each kind it gives, and whether its stub is kept, are variables of their own.
import { openRows, type Rows } from '../bounding/master.ts';
import { type Column, layoutColumn, patternKey, setCost, shortColumn } from '../model/columns.ts';
import type { Layout, Model, Pattern } from '../model/model.ts';
import { everything } from '../model/remaining.ts';
import { setupCost, setupsCount } from '../model/setups.ts';
import { addStandingStrips } from '../model/standingStrips.ts';
import { type MipLimits, type MipResult, solveMip } from '../solvers/highs.ts';
import { type MipDraft, openDraft } from '../solvers/mipDraft.ts';
import { costed, type IntegerPlan, rollsUsed } from './integerPlan.ts';
import { addMinimumOrders, type MinimumOrders } from './minimumOrders.ts';
import { addPartRolls, type PartRoll, readPartRolls } from './partRolls.ts';
import { ownSettings, type Settings, sharedSettings } from './setupLinks.ts';

export interface Pool {
  patterns: Pattern[];
  layouts: Layout[];
}

export interface PlanMip {
  plan: IntegerPlan | undefined;
  result: MipResult;
}

interface Built {
  draft: MipDraft;
  patterns: { pattern: Pattern; column: number; most: number }[];
  settings: Settings;
  layouts: { layout: Layout; column: number }[];
  shorts: (number | undefined)[];
  partRolls: PartRoll[];
  minima: MinimumOrders;
}

/** How settings of the knives count. */
export interface Knives {
  mostPatterns: number;
  /** Count no more than any plan must have, for a bound; else one for each place of the knives. */
  shared: boolean;
}

/** The best plan that the pool can make, within the limits; undefined when too many sets may share a setting. */
export function solvePlanMip(
  model: Model,
  pool: Pool,
  limits: MipLimits,
  start: IntegerPlan | undefined,
  knives: Knives,
): PlanMip | undefined {
  const built = build(model, pool, knives);
  if (!built) return undefined;
  const seed = start && startValues(model, built, start);
  const result = solveMip(built.draft.model(), seed ? { ...limits, start: seed } : limits);
  return { plan: result.x && readPlan(model, built, result.x), result };
}

function build(model: Model, pool: Pool, knives: Knives): Built | undefined {
  const remaining = everything(model);
  const rows = openRows(model, remaining);
  const draft = openDraft(rows.rows);
  const minima = addMinimumOrders(model, remaining, draft, rows);
  const shorts = model.demands.map((demand, d) =>
    demand.min > 0 ? addColumn(draft, rows, shortColumn(model, d), demand.min) : undefined,
  );
  const layouts = pool.layouts.map((layout) => {
    const most = model.stock[model.sources[layout.source].stock].count;
    return { layout, column: addColumn(draft, rows, layoutColumn(model, layout), most) };
  });
  const partRolls = addPartRolls(model, draft, rows);
  const settings = (knives.shared ? sharedSettings : ownSettings)(model, draft, knives.mostPatterns);
  const patterns = pool.patterns.map((pattern) => {
    const column: Column = { kind: 'pattern', pattern, cost: setCost(model, pattern), key: '' };
    const most = usefulSets(model, pattern);
    const entries = rows.entriesOf(column);
    if (knives.mostPatterns < Infinity || setupCost(model.sites[pattern.site]) > 0)
      entries.push(...settings.entriesOf(pattern, most));
    return { pattern, column: draft.addColumn(column.cost, entries, most, true), most };
  });
  if (knives.mostPatterns < Infinity || setupsCount(model)) addStandingStrips(model, draft, rows, patterns);
  if (!settings.complete()) return undefined;
  return { draft, patterns, settings, layouts, shorts, partRolls, minima };
}

function addColumn(draft: MipDraft, rows: Rows, column: Column, most: number): number {
  return draft.addColumn(column.cost, rows.entriesOf(column), most, true);
}

/** No more sets of a pattern are ever useful than the strip that is needed longest, or earns something, can take. */
function usefulSets(model: Model, { site, counts }: Pattern): number {
  const { demands, wholeRollOf } = model.sites[site];
  const wanted = counts.map((n, k) => {
    const { min, max, valuePerRoll } = model.demands[demands[k]];
    return n > 0 ? Math.ceil((valuePerRoll > 0 ? max : min) / n) : 0;
  });
  const rolls = wholeRollOf === undefined ? Infinity : model.stock[model.sources[wholeRollOf].stock].count;
  return Math.min(rolls, Math.max(...wanted));
}

function startValues(model: Model, built: Built, plan: IntegerPlan): number[] | undefined {
  const values = new Array<number>(built.draft.columns()).fill(0);
  const known = new Map(built.patterns.map((item) => [patternKey(item.pattern), item]));
  for (const { pattern, times } of plan.sets) {
    const item = known.get(patternKey(pattern));
    if (item === undefined) return undefined;
    values[item.column] = Math.min(item.most, values[item.column] + times);
    const setup = built.settings.columnOf(pattern);
    if (setup !== undefined) values[setup] = 1;
  }
  plan.short.forEach((n, d) => {
    const column = built.shorts[d];
    if (column !== undefined) values[column] = n;
  });
  for (const { layout, times } of plan.layouts) {
    const part = built.partRolls.find((roll) => roll.source === layout.source && values[roll.used] === 0);
    if (part && times === 1) part.write(values, layout);
    else {
      const same = built.layouts.find((item) => item.layout === layout);
      if (!same) return undefined;
      values[same.column] += times;
    }
  }
  built.minima.write(values, plan.bought, rollsUsed(model, plan.sets, plan.layouts));
  return values;
}

function readPlan(model: Model, built: Built, x: number[]): IntegerPlan | undefined {
  const whole = (column: number) => Math.round(x[column]);
  const sets = built.patterns.flatMap(({ pattern, column }) =>
    whole(column) > 0 ? [{ pattern, times: whole(column) }] : [],
  );
  const layouts = built.layouts.flatMap(({ layout, column }) =>
    whole(column) > 0 ? [{ layout, times: whole(column) }] : [],
  );
  const inPart = readPartRolls(model, built.partRolls, x);
  return inPart && costed(model, sets, [...layouts, ...inPart]);
}
