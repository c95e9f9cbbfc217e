// Sites that differ only in the roll behind them take the same sets: a set may be moved from one to the other without
// touching a knife. The searches for fewer set-ups therefore speak of one site for all of them, and share the sets
// out over the real ones at the end.
import { patternKey, wholeRollCost } from './columns.ts';
import type { Model, Sets, Site } from './model.ts';

/** For each site the first of those that take the same sets with the same knives. */
export function firstOfEqual(model: Model): number[] {
  const first = new Map<string, number>();
  return model.sites.map((site) => {
    const { slitter, product, widthUm, lengthMm } = site.place;
    const lanes = site.web.map((lane) => `${lane.fromUm}-${lane.toUm}`).join(',');
    const key = [slitter.id, product.id, widthUm, lengthMm, lanes, site.demands, site.costPerStrip].join('|');
    if (!first.has(key)) first.set(key, site.index);
    return first.get(key) as number;
  });
}

/** The same sets, each at the first of its equal sites, equal ones joined. */
export function atFirstSites(first: number[], sets: Sets): Sets {
  return joined(
    sets.map(({ pattern, times }) => ({ pattern: { ...pattern, site: first[pattern.site] }, times })),
  );
}

/** Equal sets joined, the others the same objects as before; those cut no times left out. */
export function joined(sets: Sets): Sets {
  const known = new Map<string, Sets[number]>();
  for (const item of sets) {
    const { pattern, times } = item;
    const key = patternKey(pattern);
    const before = known.get(key);
    known.set(key, before ? { pattern, times: times + before.times } : item);
  }
  return [...known.values()].filter((item) => item.times > 0);
}

/**
 * Sets at first sites, shared out over the real sites: first where `slots` says that sets were cut before, cheap
 * rolls first, then on rolls left in stock. undefined when there are too few rolls.
 */
export function atRealSites(model: Model, first: number[], sets: Sets, slots: number[]): Sets | undefined {
  const room = slots.slice();
  const stock = model.stock.map((item) => item.count);
  model.sites.forEach((site, s) => {
    if (site.wholeRollOf !== undefined) stock[model.sources[site.wholeRollOf].stock] -= slots[s];
  });
  const equal = (site: number) =>
    model.sites
      .filter((other) => first[other.index] === site)
      .sort((a, b) => wholeRollCost(model, a.index) - wholeRollCost(model, b.index) || a.index - b.index);
  const placed: Sets = [];
  const place = (item: Sets[number], site: Site, most: number) => {
    const times = Math.min(item.times, most);
    if (times <= 0) return 0;
    item.times -= times;
    placed.push({ pattern: { ...item.pattern, site: site.index }, times });
    return times;
  };
  const waiting = sets.map(({ pattern, times }) => ({ pattern, times }));
  for (const item of waiting) {
    for (const site of equal(item.pattern.site)) room[site.index] -= place(item, site, room[site.index]);
  }
  for (const item of waiting) {
    for (const site of equal(item.pattern.site)) {
      const source = site.wholeRollOf === undefined ? undefined : model.sources[site.wholeRollOf];
      const taken = place(item, site, source ? stock[source.stock] : Infinity);
      if (source) stock[source.stock] -= taken;
    }
  }
  return waiting.every((item) => item.times === 0) ? joined(placed) : undefined;
}

/** Sets cut at each site. */
export function setsPerSite(model: Model, sets: Sets): number[] {
  const slots = model.sites.map(() => 0);
  for (const { pattern, times } of sets) slots[pattern.site] += times;
  return slots;
}

/** Strips cut of each demand. */
export function stripsMade(model: Model, sets: Sets): number[] {
  const made = model.demands.map(() => 0);
  for (const { pattern, times } of sets) {
    const { demands } = model.sites[pattern.site];
    pattern.counts.forEach((n, k) => {
      made[demands[k]] += n * times;
    });
  }
  return made;
}
