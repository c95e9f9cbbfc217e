// Whole numbers of sets and rolls, by diving: fix what the relaxation gives in whole numbers, round up the largest
// fractions where it gives none, and generate columns afresh for what remains. The rolls are laid out along their
// length when all sets are known (packRolls.ts).

import { type Effort, type Relaxation, relax, roundUp } from './bounding.ts';
import { type Column, layoutCost, patternColumn, setCost } from './columns.ts';
import { completeWithFullest } from './completion.ts';
import type { Layout, Model, Pattern } from './model.ts';
import { rollsToBuy } from './offers.ts';
import { packRolls } from './packRolls.ts';
import type { Remaining } from './remaining.ts';
import { everything } from './remaining.ts';
import { setupsCost } from './setups.ts';
import { costOfSurplus } from './standingStrips.ts';
import { fits } from './starters.ts';

export interface IntegerPlan {
  sets: { pattern: Pattern; times: number }[];
  layouts: { layout: Layout; times: number }[];
  /** Rolls short per demand. */
  short: number[];
  /** Rolls bought of each stock item, used or not; 0 for those that are there. */
  bought: number[];
  /** Sets, rolls, set-ups (each pattern once), shortfall, and rolls bought only for a minimum order. */
  cost: number;
}

export interface Dive {
  best: IntegerPlan | undefined;
  /** Every column met on the way down. */
  columns: Column[];
}

export interface DiveChoice {
  /** Added to a fraction before the largest is rounded up: 0 for the plain dive. */
  nudge(): number;
}

const WHOLE = 1e-6;
const ROUND_TOGETHER = 0.6;

/** Dives from a relaxation of everything; stops early at a plan, found or known, that costs no more than `effort.enough`. */
export function dive(
  model: Model,
  root: Relaxation,
  effort: Effort,
  choice: DiveChoice,
  known?: IntegerPlan,
): Dive {
  const remaining = everything(model);
  const fixed: { pattern: Pattern; times: number }[] = [];
  const columns = [...root.columns];
  let best = known as IntegerPlan | undefined;
  let relaxation = root;
  let spent = 0;
  const offer = (plan: IntegerPlan | undefined) => {
    if (plan && (!best || plan.cost < best.cost)) best = plan;
  };
  const met = () => best !== undefined && best.cost <= effort.enough + WHOLE;
  while (!met()) {
    if (model.costStep > 0 && !(known && fixed.length === 0))
      offer(finish(model, [...fixed, ...completeWithFullest(model, remaining)], effort));
    if (met()) break;
    const taken =
      takeWhole(model, relaxation, remaining) ?? takeLargest(model, relaxation, remaining, choice);
    // out of time the first plan is still finished, each step then without new columns
    if (taken.length === 0 || (best && (effort.control?.secondsLeft() ?? 1) <= 0)) break;
    for (const item of taken) {
      fixed.push(item);
      spent += item.times * setCost(model, item.pattern);
      use(model, remaining, item);
    }
    if (remaining.min.every((n) => n <= 0)) break;
    const pool = relaxation.columns
      .filter((column) => stillFits(model, remaining, column))
      .map((column) => recosted(model, column, effort.setups ? remaining.max : undefined));
    relaxation = relax(model, remaining, pool, { ...effort, enough: Infinity });
    columns.push(...relaxation.columns);
    if (best && model.costStep > 0 && spent + roundUp(model, relaxation.bound) >= best.cost - WHOLE) break;
  }
  if (!met()) offer(finish(model, fixed, effort));
  return { best, columns };
}

/** A whole plan from its sets: rolls laid out, what cannot be placed taken back, the shortfall counted. */
export function finish(
  model: Model,
  sets: { pattern: Pattern; times: number }[],
  effort: Effort,
): IntegerPlan | undefined {
  const merged = mergeSets(sets);
  const { layouts, placed } = packRolls(model, merged, effort);
  return costed(model, placed, layouts);
}

/** Counts shortfall and cost of sets and layouts that go together. */
export function costed(
  model: Model,
  sets: IntegerPlan['sets'],
  layouts: IntegerPlan['layouts'],
): IntegerPlan {
  const made = model.demands.map(() => 0);
  let cost = setupsCost(
    model,
    sets.map((item) => item.pattern),
  );
  for (const { pattern, times } of sets) {
    cost += times * setCost(model, pattern);
    pattern.counts.forEach((n, k) => {
      made[model.sites[pattern.site].demands[k]] += n * times;
    });
  }
  for (const { layout, times } of layouts) cost += times * layoutCost(model, layout);
  cost -= costOfSurplus(model, sets, made);
  const short = model.demands.map((demand, d) => Math.max(0, demand.min - made[d]));
  short.forEach((n, d) => {
    cost += n * model.demands[d].shortCostPerRoll;
  });
  const used = rollsUsed(model, sets, layouts);
  const bought = rollsToBuy(model, used);
  bought.forEach((n, s) => {
    const { bought: roll } = model.stock[s];
    if (roll) cost += (n - used[s]) * roll.cost;
  });
  return { sets, layouts, short, bought, cost };
}

/** Rolls used of each stock item. */
export function rollsUsed(
  model: Model,
  sets: IntegerPlan['sets'],
  layouts: IntegerPlan['layouts'],
): number[] {
  const used = model.stock.map(() => 0);
  for (const { pattern, times } of sets) {
    const { wholeRollOf } = model.sites[pattern.site];
    if (wholeRollOf !== undefined) used[model.sources[wholeRollOf].stock] += times;
  }
  for (const { layout, times } of layouts) used[model.sources[layout.source].stock] += times;
  return used;
}

/** Equal sets joined. */
export function mergeSets(sets: IntegerPlan['sets']): IntegerPlan['sets'] {
  const merged = new Map<string, { pattern: Pattern; times: number }>();
  for (const { pattern, times } of sets) {
    const key = `${pattern.site}:${pattern.counts.join(',')}`;
    const known = merged.get(key);
    if (known) known.times += times;
    else merged.set(key, { pattern, times });
  }
  return [...merged.values()].filter((item) => item.times > 0);
}

function takeWhole(model: Model, { columns, values }: Relaxation, remaining: Remaining) {
  const taken: IntegerPlan['sets'] = [];
  const left = structuredClone(remaining);
  columns.forEach((column, j) => {
    const times = Math.floor(values[j] + WHOLE);
    if (column.kind !== 'pattern' || times < 1) return;
    const possible = Math.min(times, mostTimes(model, left, column.pattern));
    if (possible < 1) return;
    taken.push({ pattern: column.pattern, times: possible });
    use(model, left, { pattern: column.pattern, times: possible });
  });
  return taken.length > 0 ? taken : undefined;
}

function takeLargest(
  model: Model,
  { columns, values }: Relaxation,
  remaining: Remaining,
  choice: DiveChoice,
) {
  const fractions = columns
    .map((column, j) => ({ column, j, value: values[j] }))
    .filter(({ column, value }) => column.kind === 'pattern' && value > WHOLE)
    .map((item) => ({ ...item, rank: item.value + choice.nudge() }))
    .sort((a, b) => b.rank - a.rank || a.j - b.j);
  const taken: IntegerPlan['sets'] = [];
  const left = structuredClone(remaining);
  for (const { column, rank } of fractions) {
    if (column.kind !== 'pattern' || (taken.length > 0 && rank < ROUND_TOGETHER)) break;
    const pattern = cutDown(model, left, column.pattern);
    const whole = pattern?.counts.every((n, k) => n === column.pattern.counts[k]);
    if (!pattern || (taken.length > 0 && !whole) || mostTimes(model, left, pattern) < 1) continue;
    taken.push({ pattern, times: 1 });
    use(model, left, { pattern, times: 1 });
  }
  return taken;
}

/** The set with no more strips than may still be made; undefined when nothing or nothing possible is left of it. */
function cutDown(model: Model, remaining: Remaining, pattern: Pattern): Pattern | undefined {
  const site = model.sites[pattern.site];
  const cap = model.costStep > 0 ? remaining.min : remaining.max;
  const counts = pattern.counts.map((n, k) => Math.min(n, Math.max(0, cap[site.demands[k]])));
  if (counts.every((n, k) => n === pattern.counts[k])) return pattern;
  if (counts.every((n) => n === 0) || !fits(site, counts)) return undefined;
  return { site: pattern.site, counts };
}

function mostTimes(model: Model, remaining: Remaining, { site, counts }: Pattern): number {
  const { demands, wholeRollOf } = model.sites[site];
  const rolls = wholeRollOf === undefined ? Infinity : remaining.stock[model.sources[wholeRollOf].stock];
  return counts.reduce(
    (most, n, k) => (n > 0 ? Math.min(most, Math.floor(Math.max(0, remaining.max[demands[k]]) / n)) : most),
    rolls,
  );
}

function use(
  model: Model,
  remaining: Remaining,
  { pattern, times }: { pattern: Pattern; times: number },
): void {
  const site = model.sites[pattern.site];
  pattern.counts.forEach((n, k) => {
    remaining.min[site.demands[k]] -= n * times;
    remaining.max[site.demands[k]] -= n * times;
  });
  if (site.wholeRollOf === undefined) remaining.slotsOwed[site.index] += times;
  else remaining.stock[model.sources[site.wholeRollOf].stock] -= times;
}

function stillFits(model: Model, remaining: Remaining, column: Column): boolean {
  if (column.kind === 'layout') return true;
  if (column.kind !== 'pattern') return false;
  const { demands } = model.sites[column.pattern.site];
  const cap = model.costStep > 0 ? remaining.min : remaining.max;
  return column.pattern.counts.every((n, k) => n <= Math.max(0, cap[demands[k]]));
}

function recosted(model: Model, column: Column, max: number[] | undefined): Column {
  return column.kind === 'pattern' ? patternColumn(model, column.pattern, max) : column;
}
