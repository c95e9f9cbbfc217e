// The sets that a search may choose among, laid out flat for speed, and what a run of each loses: what it costs, its
// set-up included, less what the wanted strips in it are worth. In the relaxation that shares out set-ups no run gains
// and the best lose nothing, so what the runs of a plan lose together is how far it lies above that relaxation.
import type { Worth } from '../bounding/master.ts';
import { reducedCost } from '../bounding/pricingRound.ts';
import { patternColumn, patternKey, setCost } from '../model/columns.ts';
import type { Model, Pattern } from '../model/model.ts';
import { knifeKey, setupOf } from '../model/setups.ts';

export interface RecutPool {
  patterns: Pattern[];
  /** Site of each set, cost of cutting it once, that and its film at the relaxation's price, setting of the knives. */
  site: Int32Array;
  cost: Float64Array;
  priced: Float64Array;
  /** What one set loses at the least: its priced cost less the worth of all its strips. */
  least: Float64Array;
  knives: Int32Array;
  /** What each setting of the knives costs. */
  setup: Float64Array;
  /** Strips of set p: entries from[p] to from[p + 1] of demand and count. */
  from: Int32Array;
  demand: Int32Array;
  count: Int32Array;
  /** Sets that hold a strip of each demand, those that lose least first. */
  holding: Int32Array[];
}

/** Of these sets at most so many, those nearest to paying for themselves; `kept` are there in any case. */
export function openRecutPool(
  model: Model,
  all: Pattern[],
  kept: Pattern[],
  worth: Worth,
  most: number,
): RecutPool {
  const chosen = new Map(kept.map((pattern) => [patternKey(pattern), pattern]));
  for (const pattern of nearest(model, all, worth, most)) chosen.set(patternKey(pattern), pattern);
  const patterns = [...chosen.values()];
  const entries = patterns.map(({ site, counts }) =>
    counts.flatMap((n, k) => (n > 0 ? [{ d: model.sites[site].demands[k], n }] : [])),
  );
  const from = new Int32Array(patterns.length + 1);
  entries.forEach((own, p) => {
    from[p + 1] = from[p] + own.length;
  });
  const cost = Float64Array.from(patterns, (pattern) => setCost(model, pattern));
  const { knives, setup } = settingsOf(model, patterns);
  const priced = cost.map((own, p) => own + worth.slot[patterns[p].site]);
  const least = priced.map((own, p) => entries[p].reduce((rest, { d, n }) => rest - n * worth.strip[d], own));
  const holding = model.demands.map(() => [] as number[]);
  entries.forEach((own, p) => {
    for (const { d } of own) holding[d].push(p);
  });
  return {
    ...{ patterns, cost, priced, least, knives, setup, from },
    site: Int32Array.from(patterns, ({ site }) => site),
    demand: Int32Array.from(entries.flat(), ({ d }) => d),
    count: Int32Array.from(entries.flat(), ({ n }) => n),
    holding: holding.map((own) => Int32Array.from(own.sort((a, b) => least[a] - least[b] || a - b))),
  };
}

function nearest(model: Model, all: Pattern[], worth: Worth, most: number): Pattern[] {
  if (all.length <= most) return all;
  const max = model.demands.map((demand) => demand.max);
  const unpaid = all.map((pattern) => reducedCost(model, patternColumn(model, pattern, max), worth));
  const byUnpaid = all.map((_, i) => i).sort((a, b) => unpaid[a] - unpaid[b] || a - b);
  return byUnpaid.slice(0, most).map((i) => all[i]);
}

function settingsOf(model: Model, patterns: Pattern[]): { knives: Int32Array; setup: Float64Array } {
  const numbers = new Map<string, number>();
  const setup: number[] = [];
  const knives = Int32Array.from(patterns, (pattern) => {
    const key = knifeKey(model, pattern);
    const known = numbers.get(key);
    if (known !== undefined) return known;
    numbers.set(key, setup.length);
    return setup.push(setupOf(model, pattern)) - 1;
  });
  return { knives, setup: Float64Array.from(setup) };
}

/** What so many sets of p lose where `need` of each demand is still wanted; `setup`: what its knives cost here. */
export function lossOf(
  pool: RecutPool,
  strip: Float64Array,
  need: Int32Array,
  p: number,
  times: number,
  setup: number,
): number {
  let loss = times * pool.priced[p] + setup;
  for (let e = pool.from[p]; e < pool.from[p + 1]; e++) {
    const d = pool.demand[e];
    const made = pool.count[e] * times;
    loss -= strip[d] * (made < need[d] ? made : Math.max(0, need[d]));
  }
  return loss;
}
