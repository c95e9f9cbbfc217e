// What a change of pattern costs. The relaxation that proves the bound leaves set-ups out, but a second one, from which
// plans are built, spreads each over its sets: a pattern whose strips all go to orders can be cut U times, U = min over
// its strips of floor(most wanted / strips), so it is charged 1/U per set, which steers it to patterns that run long.
// (That is no bound: strips beyond what is wanted may go to waste, so one set-up can serve more than U sets.)
import { isKeptReady } from '../layingOut/knifeChange.ts';
import { type Placed, placeStrips } from '../layingOut/placeStrips.ts';
import type { Model, Pattern, Site } from './model.ts';

/** Machine cost of one set-up at this site. */
export function setupCost(site: Site): number {
  const { minutesPerSetup, costPerHour } = site.place.slitter;
  return (minutesPerSetup * costPerHour) / 60;
}

/** Whether changing patterns costs anything at all. */
export function setupsCount(model: Model): boolean {
  return model.sites.some((site) => setupCost(site) > 0);
}

/** The most sets that a pattern can be cut without exceeding what may still be made; at least 1. */
export function mostSets(site: Site, counts: number[], max: number[]): number {
  let most = Infinity;
  counts.forEach((n, k) => {
    if (n > 0) most = Math.min(most, Math.floor(max[site.demands[k]] / n));
  });
  return Math.max(1, most === Infinity ? 1 : most);
}

/**
 * Patterns with equal keys have their knives in the same places: one set-up serves them all. Where the right trim
 * may grow at will, the same strips can stand in the same places on webs of any width.
 */
export function knifeKey(model: Model, pattern: Pattern): string {
  const { place, web } = model.sites[pattern.site];
  const lanes =
    web.length === 1 && place.slitter.edgeTrimMaxUm.right === Infinity
      ? [web[0].fromUm]
      : [place.widthUm, ...web.map((s) => `${s.fromUm}-${s.toUm}`)];
  return [place.slitter.id, ...lanes, stripsKey(model, pattern)].join('|');
}

/** How many strips of which widths. */
export function stripsKey(model: Model, { site, counts }: Pattern): string {
  const { widthsUm } = model.sites[site];
  const widths = new Map<number, number>();
  counts.forEach((n, k) => {
    if (n > 0) widths.set(widthsUm[k], (widths.get(widthsUm[k]) ?? 0) + n);
  });
  const strips = [...widths].sort((a, b) => a[0] - b[0]).map(([width, n]) => `${n}x${width}`);
  return strips.join('|');
}

/** The set-up of this pattern: nothing where its knives can stand as in a setting that is kept ready. */
export function setupOf(model: Model, pattern: Pattern): number {
  return keptPlacing(model, pattern) ? 0 : setupCost(model.sites[pattern.site]);
}

/** The pattern with its knives as in a setting that is kept ready; undefined when they cannot stand so. */
export function keptPlacing(model: Model, pattern: Pattern): Placed | undefined {
  const { slitter } = model.sites[pattern.site].place;
  for (const kept of slitter.keptKnivesUm ?? []) {
    const placed = placeStrips(model, pattern, new Map(kept.map((at) => [at, 1])));
    if (isKeptReady({ keptKnivesUm: [kept] }, new Set(placed.knivesUm))) return placed;
  }
  return undefined;
}

/** Set-up cost of a plan with these patterns, each set up once. */
export function setupsCost(model: Model, patterns: Pattern[]): number {
  const costs = new Map(patterns.map((pattern) => [knifeKey(model, pattern), setupOf(model, pattern)]));
  return [...costs.values()].reduce((sum, cost) => sum + cost, 0);
}

/** What knives that already stand somewhere, or are kept ready, could save: at most a set-up for each such setting. */
export function standingKnives(model: Model): number {
  const saved = new Map<string, number>();
  for (const site of model.sites) {
    const { id, knivesAtUm, keptKnivesUm = [] } = site.place.slitter;
    saved.set(id, (keptKnivesUm.length + (knivesAtUm ? 1 : 0)) * setupCost(site));
  }
  return [...saved.values()].reduce((sum, cost) => sum + cost, 0);
}
