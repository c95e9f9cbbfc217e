// Every set needs a slot along some roll. A site whose whole roll gives just one set needs no such row: there the
// set itself carries the roll.
import type { PlanRowMaker } from './row.ts';

export const slotsProvided: PlanRowMaker = (model, remaining, first) => {
  const shared = model.sites.filter((site) => site.wholeRollOf === undefined).map((site) => site.index);
  const row = new Map(shared.map((site, i) => [site, first + i]));
  const entry = (site: number, value: number): [number, number][] =>
    row.has(site) ? [[row.get(site) as number, value]] : [];
  return {
    rows: shared.map((site) => ({ sense: '>=', rhs: remaining.slotsOwed[site] })),
    ofSet: (site) => entry(site, -1),
    ofSlot: (site) => entry(site, 1),
  };
};
