// Columns that make the first master problem feasible and not too poor: falling short, one width after another as
// often as it fits, wide strips first, and every roll cut full of one finished length.
import {
  type Column,
  extraColumn,
  layoutColumn,
  patternColumn,
  shortColumn,
  unplacedColumn,
} from '../model/columns.ts';
import type { Model, Site } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import { sitesInUse } from '../model/siteSources.ts';
import { mustBuy } from '../planRows/minimumOrder.ts';
import { priceLayout } from './layoutPricing.ts';
import { acceptsRemainder } from './patternSearch.ts';
import { pricePatterns } from './pricing.ts';

export function starterColumns(model: Model, remaining: Remaining, setups: boolean): Column[] {
  const shorts = model.demands.flatMap((demand, d) => (demand.min > 0 ? [shortColumn(model, d)] : []));
  const unplaced = model.sites.flatMap((site) =>
    remaining.slotsOwed[site.index] > 0 ? [unplacedColumn(model, site.index)] : [],
  );
  const extras = model.offers.flatMap((_, o) => (mustBuy(model, o) ? [extraColumn(model, o)] : []));
  const inUse = sitesInUse(model, remaining);
  return [
    ...shorts,
    ...extras,
    ...unplaced,
    ...model.sites
      .filter((site) => inUse[site.index])
      .flatMap((site) => patternsAt(model, site, remaining, setups)),
    ...layouts(model, remaining),
  ];
}

function patternsAt(model: Model, site: Site, remaining: Remaining, setups: boolean): Column[] {
  const open = site.demands.map((d) => Math.max(0, remaining.max[d]));
  const alone = open.map((_, k) => fill(site, open, [k]));
  const mixed: number[][] = [];
  const left = open.slice();
  for (let guard = 0; guard < 2 * open.length && left.some((n) => n > 0); guard++) {
    const counts = fill(site, left);
    const times = Math.min(...counts.map((n, k) => (n > 0 ? Math.floor(left[k] / n) : Infinity)));
    if (!Number.isFinite(times)) break;
    counts.forEach((n, k) => {
      left[k] -= n * times;
    });
    mixed.push(counts);
  }
  return [...alone, ...mixed]
    .map((counts) => repaired(site, counts, open))
    .filter((counts) => counts?.some((n) => n > 0))
    .map((counts) =>
      patternColumn(
        model,
        { site: site.index, counts: counts as number[] },
        setups ? remaining.max : undefined,
      ),
    );
}

/** Wide strips first, as many as fit and as budgets allow, in the widest stretch first. */
export function fill(site: Site, most: number[], order = wideFirst(site.widthsUm)): number[] {
  const counts = most.map(() => 0);
  const spent = site.budgets.map(() => 0);
  for (const { fromUm, toUm } of site.web) {
    let rest = toUm - fromUm;
    for (const k of order) {
      const fresh = counts[k] === 0;
      let n = Math.min(most[k] - counts[k], Math.floor(rest / site.widthsUm[k]));
      site.budgets.forEach((b, i) => {
        const left = b.limit - spent[i] - (fresh ? b.eachWidth : 0);
        n = left < 0 ? 0 : b.eachStrip > 0 ? Math.min(n, Math.floor(left / b.eachStrip)) : n;
      });
      if (n <= 0) continue;
      counts[k] += n;
      rest -= n * site.widthsUm[k];
      site.budgets.forEach((b, i) => {
        spent[i] += n * b.eachStrip + (fresh ? b.eachWidth : 0);
      });
    }
  }
  return counts;
}

const sorted = new WeakMap<readonly number[], number[]>();

function wideFirst(widthsUm: number[]): number[] {
  const order =
    sorted.get(widthsUm) ?? widthsUm.map((_, k) => k).sort((a, b) => widthsUm[b] - widthsUm[a] || a - b);
  sorted.set(widthsUm, order);
  return order;
}

/** The same set if its remainder can be taken away; otherwise the fullest set that can, found by pricing widths. */
function repaired(site: Site, counts: number[], most: number[]): number[] | undefined {
  if (fits(site, counts)) return counts;
  const values = site.widthsUm.map((width, k) => (counts[k] > 0 ? 2 : 1) * width);
  return pricePatterns(site, { values, most, above: 0, keep: 1, nodes: 20_000 }).patterns[0]?.counts;
}

/** Whether a set without bad lanes keeps every budget and leaves a remainder that can be taken away. */
export function fits(site: Site, counts: number[]): boolean {
  if (site.web.length > 1) return false;
  const used = counts.reduce((sum, n, k) => sum + n * site.widthsUm[k], 0);
  const spent = site.budgets.map(
    (b) =>
      counts.reduce((sum, n) => sum + n * b.eachStrip, 0) + b.eachWidth * counts.filter((n) => n > 0).length,
  );
  return spent.every((s, i) => s <= site.budgets[i].limit) && acceptsRemainder(site, [used], spent);
}

function layouts(model: Model, remaining: Remaining): Column[] {
  return model.sources.flatMap((source) => {
    const own = new Set(source.paths.edges.map((edge) => edge.site).filter((site) => site >= 0));
    if (remaining.stock[source.stock] <= 0) return [];
    return [...own].flatMap((site) => {
      if (model.sites[site].wholeRollOf !== undefined) return [];
      const worth = model.sites.map((other) => (other.index === site ? 1e9 : 0));
      const { layout } = priceLayout(model, source, worth);
      return layout ? [layoutColumn(model, layout)] : [];
    });
  });
}
