// What is still to be planned while an integer plan is built up: demand, stock, and slots already taken or given.
import type { Model } from './model.ts';

export interface Remaining {
  /** Rolls still to make, and still allowed, per demand. */
  min: number[];
  max: number[];
  /** Rolls left of each stock item. */
  stock: number[];
  /** Sets already planned at each site for which no roll has been laid out yet. */
  slotsOwed: number[];
}

export function everything(model: Model): Remaining {
  return {
    min: model.demands.map((demand) => demand.min),
    max: model.demands.map((demand) => demand.max),
    stock: model.stock.map((item) => item.count),
    slotsOwed: model.sites.map(() => 0),
  };
}
