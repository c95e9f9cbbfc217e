// No more rolls are used of a stock item than there are. Left out where there are more rolls than could be wanted.
import type { Model } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import type { PlanRowMaker } from './row.ts';

export const stockNotExceeded: PlanRowMaker = (model, remaining, first) => {
  const scarce = model.stock.map((_, s) => s).filter((s) => isScarce(model, remaining, s));
  const row = new Map(scarce.map((s, i) => [s, first + i]));
  return {
    rows: scarce.map((s) => ({ sense: '<=', rhs: remaining.stock[s] })),
    ofRoll: (source) => {
      const at = row.get(model.sources[source].stock);
      return at === undefined ? [] : [[at, 1]];
    },
  };
};

/** Whether more rolls of the item could be wanted than there are: each roll used holds one wanted strip at least. */
export function isScarce(model: Model, remaining: Remaining, stock: number): boolean {
  const mostSets = model.demands.reduce((sum, _, d) => sum + Math.max(0, remaining.max[d]), 0);
  const owed = remaining.slotsOwed.reduce((sum, slots) => sum + Math.max(0, slots), 0);
  return remaining.stock[stock] < mostSets + owed;
}
