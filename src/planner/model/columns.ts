// Columns of the master problem: a set across the web, a roll along its length, a roll fallen short, film
// bought only for a minimum order, or a planned set for which no roll is left (which no finished plan contains).
import type { Layout, Model, Pattern } from './model.ts';
import { mostSets, setupCost } from './setups.ts';

export type Column =
  | { kind: 'pattern'; pattern: Pattern; cost: number; key: string }
  | { kind: 'layout'; layout: Layout; cost: number; key: string }
  | { kind: 'short'; demand: number; cost: number; key: string }
  | { kind: 'extra'; offer: number; cost: number; key: string }
  | { kind: 'unplaced'; site: number; cost: number; key: string };

/** Equal for equal sets across the web. */
export const patternKey = ({ site, counts }: Pattern): string => `${site}:${counts.join(',')}`;

/** Cost of cutting one set: machine time and lateness, less what fillers earn; where it takes a whole roll, the roll too. */
export function setCost(model: Model, pattern: Pattern): number {
  const site = model.sites[pattern.site];
  let cost = site.costPerSet + wholeRollCost(model, pattern.site);
  pattern.counts.forEach((n, k) => {
    cost += n * site.costPerStrip[k];
  });
  return cost;
}

/** With `max`, what may still be made of each demand, the column carries its share of a set-up. */
export function patternColumn(model: Model, pattern: Pattern, max?: number[]): Column {
  const site = model.sites[pattern.site];
  const own = setCost(model, pattern);
  const share = max ? setupCost(site) / mostSets(site, pattern.counts, max) : 0;
  return { kind: 'pattern', pattern, cost: own + share, key: `p${patternKey(pattern)}` };
}

export function layoutColumn(model: Model, layout: Layout): Column {
  const cost = layoutCost(model, layout);
  const sets = setsOf(model, layout);
  const key = `l${layout.source}:${layout.endMm}:${splicesIn(model, layout)}:${[...sets].map(([site, n]) => `${site}x${n}`).join(',')}`;
  return { kind: 'layout', layout, cost, key };
}

/** What the roll costs when it is used so, splices included. */
export function layoutCost(model: Model, layout: Layout): number {
  const { charge, perSplice } = model.sources[layout.source];
  return charge(layout.endMm) + (perSplice > 0 ? perSplice * splicesIn(model, layout) : 0);
}

function splicesIn(model: Model, { source, path }: Layout): number {
  const { edges } = model.sources[source].paths;
  return path.reduce((sum, e) => sum + edges[e].splices, 0);
}

export function shortColumn(model: Model, demand: number): Column {
  return { kind: 'short', demand, cost: model.demands[demand].shortCostPerRoll, key: `s${demand}` };
}

/** Film bought only to reach the minimum order, as much as it asks for. */
export function extraColumn(model: Model, offer: number): Column {
  const { minKg, pricePerKg } = model.offers[offer];
  return { kind: 'extra', offer, cost: minKg * pricePerKg, key: `e${offer}` };
}

/** Dearer than falling short of every strip that the set could hold. */
export function unplacedColumn(model: Model, site: number): Column {
  const { web, demands, widthsUm } = model.sites[site];
  const usableUm = web.reduce((sum, s) => sum + s.toUm - s.fromUm, 0);
  const perUm = Math.max(...demands.map((d, k) => model.demands[d].shortCostPerRoll / widthsUm[k]));
  return { kind: 'unplaced', site, cost: 1 + perUm * usableUm, key: `u${site}` };
}

/** Each column once. */
export function uniqueColumns(columns: Column[]): Column[] {
  return [...new Map(columns.map((column) => [column.key, column])).values()];
}

/** The slots that a layout provides: sets per site, in the order of sites. */
export function setsOf(model: Model, layout: Layout): Map<number, number> {
  const sets = new Map<number, number>();
  const { edges } = model.sources[layout.source].paths;
  for (const e of layout.path) {
    if (edges[e].site >= 0) sets.set(edges[e].site, (sets.get(edges[e].site) ?? 0) + 1);
  }
  return new Map([...sets].sort((a, b) => a[0] - b[0]));
}

/** What the roll costs where one set takes the whole of it; 0 elsewhere. */
export function wholeRollCost(model: Model, site: number): number {
  const source = model.sites[site].wholeRollOf;
  if (source === undefined) return 0;
  const { paths, charge } = model.sources[source];
  const edge = paths.edges.find((e) => e.site === site);
  return edge ? charge(paths.positionsMm[edge.to]) : 0;
}
