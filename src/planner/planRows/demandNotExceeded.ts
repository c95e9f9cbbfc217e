// No demand is made beyond its maximum. Where surplus strips can always go to waste instead, the row would bind only
// for strips that earn money, so it is made for fillers and for sites that cannot take waste strips; and with minimum
// orders, where cutting nothing but waste from a roll could otherwise pass for using it.
import type { Model } from '../model/model.ts';
import type { PlanRowMaker } from './row.ts';

export const demandNotExceeded: PlanRowMaker = (model, remaining, first) => {
  const capped = model.demands.map((_, d) => d).filter((d) => needsCap(model, d));
  const row = new Map(capped.map((d, i) => [d, first + i]));
  return {
    rows: capped.map((d) => ({ sense: '<=', rhs: remaining.max[d] })),
    ofStrip: (d) => (row.has(d) ? [[row.get(d) as number, 1]] : []),
  };
};

/** Whether strips beyond the maximum could not simply be slit out as waste. */
export function needsCap(model: Model, demand: number): boolean {
  if (model.demands[demand].valuePerRoll > 0 || model.offers.some(({ minKg }) => minKg > 0)) return true;
  return model.sites.some((site) => site.demands.includes(demand) && !wasteIsFree(site.place.slitter));
}

function wasteIsFree(slitter: Model['sites'][number]['place']['slitter']): boolean {
  return slitter.maxWasteStrips === Infinity;
}
