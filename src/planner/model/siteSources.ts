// Which sites a roll can give sets at, and at which of them anything can be cut while stock lasts.
import type { Model, Source } from './model.ts';
import type { Remaining } from './remaining.ts';

const known = new WeakMap<Source['paths'], number[]>();

/** The sites that walks along this roll meet. Read once from its paths. */
export function sitesOf({ paths }: Source): number[] {
  const sites =
    known.get(paths) ?? [...new Set(paths.edges.map(({ site }) => site))].filter((site) => site >= 0);
  known.set(paths, sites);
  return sites;
}

/** For each site whether a roll is left for it, or sets are planned at it already. */
export function sitesInUse(model: Model, remaining: Remaining): boolean[] {
  const inUse = remaining.slotsOwed.map((owed) => owed > 0);
  for (const source of model.sources) {
    if (remaining.stock[source.stock] > 0) for (const site of sitesOf(source)) inUse[site] = true;
  }
  return inUse;
}
