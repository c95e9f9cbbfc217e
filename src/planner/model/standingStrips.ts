// Knives that stand already may cut a strip that nobody may take any more: it goes to waste, and the set-up serves
// longer. Matters where set-ups count and such a strip would otherwise break a limit on what is made, pay for lateness,
// or earn as a filler. In an integer program each such strip has a column that takes it out of what is made.
import type { Rows } from '../bounding/master.ts';
import { needsCap } from '../planRows/demandNotExceeded.ts';
import type { MipDraft } from '../solvers/mipDraft.ts';
import type { Model, Pattern, Sets, Site } from './model.ts';

/** Whether to waste the site's k-th strip makes a difference, and is possible. */
export function mayStand(model: Model, { place, demands, costPerStrip }: Site, k: number): boolean {
  return place.slitter.maxWasteStrips === Infinity && (costPerStrip[k] !== 0 || needsCap(model, demands[k]));
}

/** `sets`: the columns of the patterns. */
export function addStandingStrips(
  model: Model,
  draft: MipDraft,
  rows: Rows,
  sets: { pattern: Pattern; column: number }[],
): void {
  for (const site of model.sites) {
    for (const [k, cost] of site.costPerStrip.entries()) {
      const own = sets.filter(({ pattern }) => pattern.site === site.index && pattern.counts[k] > 0);
      if (own.length === 0 || !mayStand(model, site, k)) continue;
      const cut = draft.addRow(-Infinity, 0); // wasted <= strips cut
      for (const { pattern, column } of own) draft.addEntry(column, [cut, -pattern.counts[k]]);
      const made = rows.entriesOfThing('ofStrip', site.demands[k]);
      const less = made.map(([row, value]): [number, number] => [row, -value]);
      draft.addColumn(-cost, [...less, [cut, 1]], Infinity, true);
    }
  }
}

/** What is not paid, or not earned, for strips beyond the most that may be made: those that cost most are the waste. */
export function costOfSurplus(model: Model, sets: Sets, made: number[]): number {
  let cost = 0;
  model.demands.forEach(({ max }, d) => {
    let surplus = made[d] - max;
    if (surplus <= 0) return;
    const cut = sets.flatMap(({ pattern: { site, counts }, times }) => {
      const { demands, costPerStrip } = model.sites[site];
      return demands.flatMap((own, k) =>
        own === d && counts[k] > 0 ? [{ each: costPerStrip[k], strips: counts[k] * times }] : [],
      );
    });
    for (const { each, strips } of cut.sort((a, b) => b.each - a.each)) {
      const wasted = Math.min(surplus, strips);
      cost += wasted * each;
      surplus -= wasted;
    }
  });
  return cost;
}
