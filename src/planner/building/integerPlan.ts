// Whole numbers of sets and rolls, by diving: fix what the relaxation gives in whole numbers, round up the largest
// fractions where it gives none, and generate columns afresh for what remains. The rolls are laid out along their
// length when all sets are known (packRolls.ts).
import { type Effort, type Relaxation, relax, roundUp } from '../bounding/bounding.ts';
import { type Column, layoutCost, patternKey, setCost } from '../model/columns.ts';
import type { Layout, Model, Sets } from '../model/model.ts';
import { rollsToBuy } from '../model/offers.ts';
import { everything } from '../model/remaining.ts';
import { setupsCost } from '../model/setups.ts';
import { costOfSurplus } from '../model/standingStrips.ts';
import { completeWithFullest } from './completion.ts';
import { type DiveChoice, ROUND_TOGETHER, stillOfUse, takeLargest, takeWhole, use } from './diveSteps.ts';
import { packRolls } from './packRolls.ts';

export interface IntegerPlan {
  sets: Sets;
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

const WHOLE = 1e-6;

/** Dives from a relaxation of everything; stops early at a plan, found or known, that costs no more than `effort.enough`. */
export function dive(
  model: Model,
  root: Relaxation,
  effort: Effort,
  choice: DiveChoice,
  known?: IntegerPlan,
): Dive {
  const remaining = everything(model);
  const fixed: Sets = [];
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
    const late = (effort.control?.secondsLeft() ?? 1) <= 0;
    // out of time the first plan is still finished, in few steps and without new columns
    const together = late ? 0 : ROUND_TOGETHER;
    const taken =
      takeWhole(model, relaxation, remaining) ?? takeLargest(model, relaxation, remaining, choice, together);
    if (taken.length === 0 || (best && late)) break;
    for (const item of taken) {
      fixed.push(item);
      spent += item.times * setCost(model, item.pattern);
      use(model, remaining, item);
    }
    if (remaining.min.every((n) => n <= 0)) break;
    const pool = stillOfUse(model, remaining, relaxation.columns, effort.setups);
    relaxation = relax(model, remaining, pool, { ...effort, enough: Infinity });
    columns.push(...relaxation.columns);
    if (best && model.costStep > 0 && spent + roundUp(model, relaxation.bound) >= best.cost - WHOLE) break;
  }
  if (!met()) offer(finish(model, fixed, effort));
  return { best, columns };
}

/** A whole plan from its sets: rolls laid out, what cannot be placed taken back, the shortfall counted. */
export function finish(model: Model, sets: Sets, effort: Effort): IntegerPlan | undefined {
  const merged = mergeSets(sets);
  const { layouts, placed } = packRolls(model, merged, effort);
  return costed(model, placed, layouts);
}

/** Counts shortfall and cost of sets and layouts that go together. */
export function costed(model: Model, sets: Sets, layouts: IntegerPlan['layouts']): IntegerPlan {
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
export function rollsUsed(model: Model, sets: Sets, layouts: IntegerPlan['layouts']): number[] {
  const used = model.stock.map(() => 0);
  for (const { pattern, times } of sets) {
    const { wholeRollOf } = model.sites[pattern.site];
    if (wholeRollOf !== undefined) used[model.sources[wholeRollOf].stock] += times;
  }
  for (const { layout, times } of layouts) used[model.sources[layout.source].stock] += times;
  return used;
}

/** Equal sets joined. */
export function mergeSets(sets: Sets): Sets {
  const merged = new Map<string, Sets[number]>();
  for (const { pattern, times } of sets) {
    const key = patternKey(pattern);
    const known = merged.get(key);
    if (known) known.times += times;
    else merged.set(key, { pattern, times });
  }
  return [...merged.values()].filter((item) => item.times > 0);
}
