// Of an offer that is taken, rolls of its minimum order at least are bought; what is bought beyond need only to reach
// it (an `extra` column) is paid in full. Counted in minimum orders, so that numbers stay near 1.
import type { Model } from '../model/model.ts';
import { itemsOf } from '../model/offers.ts';
import type { Remaining } from '../model/remaining.ts';
import type { PlanRowMaker } from './row.ts';

export const minimumOrder: PlanRowMaker = (model, remaining, first) => {
  const taken = model.offers.map((_, o) => o).filter((o) => mustBuy(model, o));
  const row = new Map(taken.map((o, i) => [o, first + i]));
  return {
    rows: taken.map((o) => ({ sense: '>=', rhs: stillToBuy(model, remaining, o) })),
    ofRoll: (source) => {
      const { bought } = model.stock[model.sources[source].stock];
      const at = bought && row.get(bought.offer);
      return bought && at !== undefined ? [[at, bought.kg / model.offers[bought.offer].minKg]] : [];
    },
    ofExtra: (offer) => (row.has(offer) ? [[row.get(offer) as number, 1]] : []),
  };
};

/** Whether the minimum of this offer is to be bought in any case. */
export function mustBuy(model: Model, offer: number): boolean {
  return model.offers[offer].taken === true && model.offers[offer].minKg > 0;
}

/** Share of the minimum order that the rolls taken so far leave to be bought; 0 when it need not be. */
export function stillToBuy(model: Model, remaining: Remaining, offer: number): number {
  if (!mustBuy(model, offer)) return 0;
  const kg = itemsOf(model, offer).reduce(
    (sum, { s, item }) => sum + item.kg * (model.stock[s].count - remaining.stock[s]),
    0,
  );
  return Math.max(0, 1 - kg / model.offers[offer].minKg);
}
