// One round of pricing: at given worths, the sets and layouts worth more than they cost, and the bound that follows.
import { type Column, layoutColumn, patternColumn, setsOf, wholeRollCost } from '../model/columns.ts';
import { firstSite, type Model, type Site } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import { setupCost } from '../model/setups.ts';
import { sitesInUse } from '../model/siteSources.ts';
import { dualBound } from './dualBound.ts';
import { priceLayout } from './layoutPricing.ts';
import type { Worth } from './master.ts';
import type { PricingAnswer } from './pricing.ts';
import { priceNetOfSetup } from './setupPricing.ts';

const TINY = 1e-9;

export interface Depth {
  setups: boolean;
  nodes: number;
  /** Sets to return for each site at most. */
  keep: number;
  /** Further sets to look for that share no width with the best. */
  others: number;
}

export interface Priced {
  columns: Column[];
  bound: number;
  /** What everything is worth in that bound. */
  proven: Worth;
  aborted: boolean;
}

export function price(model: Model, remaining: Remaining, worth: Worth, depth: Depth): Priced {
  const columns: Column[] = [];
  const setWorth = new Float64Array(model.sites.length);
  let aborted = false;
  const inUse = sitesInUse(model, remaining);
  for (const site of model.sites) {
    if (!inUse[site.index]) continue;
    const answer = priceSite(model, remaining, site, worth, depth);
    for (const { counts } of answer.patterns) {
      columns.push(
        patternColumn(model, { site: site.index, counts }, depth.setups ? remaining.max : undefined),
      );
    }
    setWorth[site.index] = answer.upperBound;
    aborted = aborted || (answer.upperBound > answer.threshold + 1e-6 && answer.patterns.length === 0);
  }
  for (const source of model.sources) {
    if (model.sites[firstSite(source)]?.wholeRollOf !== undefined || remaining.stock[source.stock] <= 0)
      continue;
    const rollWorth = worth.roll[source.index];
    const { layout, gain } = priceLayout(model, source, worth.slot, Math.max(0, rollWorth));
    if (layout && gain + Math.min(0, rollWorth) > TINY * Math.max(1, source.charge(layout.endMm))) {
      columns.push(layoutColumn(model, layout));
    }
  }
  const { bound, worth: proven } = dualBound(model, remaining, worth, setWorth);
  return { columns, bound, proven, aborted };
}

/** The sets at one site that are worth more than they cost, and the worth that none exceeds. */
function priceSite(
  model: Model,
  remaining: Remaining,
  site: Site,
  worth: Worth,
  { nodes, setups, keep, others }: Depth,
): PricingAnswer & { threshold: number } {
  const values = site.demands.map((d, k) => worth.strip[d] - site.costPerStrip[k]);
  const most = site.demands.map((d) => Math.max(0, remaining.max[d]));
  const source = site.wholeRollOf;
  const roll = source === undefined ? 0 : wholeRollCost(model, site.index) - worth.roll[source];
  const threshold = site.costPerSet - worth.set[site.index] + roll;
  const above = threshold + TINY * Math.max(1, Math.abs(threshold));
  const setup = setups ? setupCost(site) : 0;
  const ask = (limit: number[]) => priceNetOfSetup(site, { values, most: limit, above, keep, nodes }, setup);
  const answer = ask(most);
  return {
    patterns: [...answer.patterns, ...disjoint(answer.patterns[0], most, others, ask)],
    upperBound: answer.upperBound,
    threshold,
  };
}

/** Further good sets that share no strip with those before: a round then serves many widths at once. */
function disjoint(
  first: PricingAnswer['patterns'][number] | undefined,
  most: number[],
  others: number,
  ask: (most: number[]) => PricingAnswer,
): PricingAnswer['patterns'] {
  const found: PricingAnswer['patterns'] = [];
  const left = most.slice();
  for (let last = first; last && found.length < others; ) {
    last.counts.forEach((n, k) => {
      if (n > 0) left[k] = 0;
    });
    [last] = ask(left).patterns;
    if (last) found.push(last);
  }
  return found;
}

/** What a column costs beyond what it is worth. */
export function reducedCost(model: Model, column: Column, worth: Worth): number {
  if (column.kind === 'layout') {
    const slots = [...setsOf(model, column.layout)].reduce((sum, [site, n]) => sum + n * worth.slot[site], 0);
    return column.cost - slots - worth.roll[column.layout.source];
  }
  if (column.kind !== 'pattern') return column.cost;
  const { index, demands, wholeRollOf } = model.sites[column.pattern.site];
  const roll = wholeRollOf === undefined ? 0 : worth.roll[wholeRollOf];
  const strips = column.pattern.counts.reduce((sum, n, k) => sum + n * worth.strip[demands[k]], 0);
  return column.cost - strips - worth.set[index] - roll;
}
