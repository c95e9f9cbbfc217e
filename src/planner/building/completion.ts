// The quickest way to a whole plan where rolls are counted: one fullest set after another, each built round the
// widest strip still wanted, repeated as often as what is wanted allows. Of several ways of filling the best is taken.
import { pricePatterns } from '../bounding/pricing.ts';
import { fill, fits } from '../bounding/starters.ts';
import type { Model, Sets, Site } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';

const FILLING_NODES = 20_000;

/**
 * How a set is filled: wide strips first, or with the greatest sum of (width / usable width) ^ power. A power a little
 * above 1 gives up some film for wide strips, which leaves the narrow ones for the gaps of later sets (measured on the
 * benchmark's instances: 1.05 and 1.1 give the fewest rolls).
 */
export type Filling = 'wide first' | number;

/** In the order in which they are worth trying after 'wide first'. */
export const OTHER_FILLINGS: Filling[] = [1.05, 1.1, 1.02, 1];
const QUICK_FILLINGS: Filling[] = ['wide first', 1, 1.05];

/** Sets that make what remains, as far as stock goes, at sites where each set takes a whole roll. */
export function completeWithFullest(model: Model, remaining: Remaining): Sets {
  const found = QUICK_FILLINGS.map((filling) => completeBy(filling, model, remaining));
  return found.reduce((best, sets) => (rolls(sets) < rolls(best) ? sets : best));
}

/** The same by one way of filling. */
export function completeBy(filling: Filling, model: Model, remaining: Remaining): Sets {
  const sites = model.sites.filter((site) => site.wholeRollOf !== undefined);
  if (filling === 'wide first') return complete(model, remaining, sites, (site, most) => fill(site, most));
  return complete(model, remaining, sites, (site, most) => fullestWithWidest(site, most, filling));
}

const rolls = (sets: { times: number }[]) => sets.reduce((sum, item) => sum + item.times, 0);

function complete(
  model: Model,
  remaining: Remaining,
  sites: Site[],
  choose: (site: Site, most: number[]) => number[] | undefined,
): Sets {
  const left = remaining.min.map((n) => Math.max(0, n));
  const stock = remaining.stock.slice();
  const sets: Sets = [];
  while (left.some((n) => n > 0)) {
    let best: (Sets[number] & { waste: number; roll: number }) | undefined;
    for (const site of sites) {
      const source = model.sources[site.wholeRollOf as number];
      if (stock[source.stock] <= 0) continue;
      const most = site.demands.map((d) => left[d]);
      const counts = choose(site, most);
      if (!counts?.some((n) => n > 0) || !fits(site, counts)) continue;
      const used = counts.reduce((sum, n, k) => sum + n * site.widthsUm[k], 0);
      const waste = source.charge(source.lengthMm) / used;
      const times = Math.min(
        stock[source.stock],
        ...counts.map((n, k) => (n > 0 ? Math.floor(most[k] / n) : Infinity)),
      );
      if (!best || waste < best.waste)
        best = { pattern: { site: site.index, counts }, times, waste, roll: source.stock };
    }
    if (!best) return sets;
    const { pattern, times, roll } = best;
    sets.push({ pattern, times });
    stock[roll] -= times;
    pattern.counts.forEach((n, k) => {
      left[model.sites[pattern.site].demands[k]] -= n * times;
    });
  }
  return sets;
}

/** The fullest set that holds the widest strip still wanted. */
function fullestWithWidest(site: Site, most: number[], power: number): number[] | undefined {
  const widest = most.reduce(
    (w, n, k) => (n > 0 && (w < 0 || site.widthsUm[k] > site.widthsUm[w]) ? k : w),
    -1,
  );
  if (widest < 0) return undefined;
  const usable = site.web[0].toUm - site.web[0].fromUm;
  const values = site.widthsUm.map((width, k) => (width / usable) ** power + (k === widest ? 1e-7 : 0));
  const forced = forcing(site, widest);
  if (!forced) return fill(site, most);
  const rest = most.map((n, k) => (k === widest ? n - 1 : n));
  const [best] = pricePatterns(forced, {
    values,
    most: rest,
    above: 0,
    keep: 1,
    nodes: FILLING_NODES,
  }).patterns;
  return (best?.counts ?? most.map(() => 0)).map((n, k) => (k === widest ? n + 1 : n));
}

/** The same site with one strip of width k already in place; undefined when a budget counts distinct widths. */
function forcing(site: Site, k: number): Site | undefined {
  if (site.budgets.some((b) => b.eachWidth > 0)) return undefined;
  const [only] = site.web;
  const web = [{ fromUm: only.fromUm + site.widthsUm[k], toUm: only.toUm }];
  const budgets = site.budgets.map((b) => ({ ...b, limit: b.limit - b.eachStrip }));
  return { ...site, web, budgets };
}
