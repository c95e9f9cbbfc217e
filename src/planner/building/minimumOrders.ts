// Minimum orders in an integer program: of each offer that has one and on which nothing is decided yet, a binary says
// whether it is taken; whole rolls bought beyond need fill it up. A roll counts as used only when a set is cut from it,
// so slots must then be provided exactly, not at least.
import type { Rows } from '../bounding/master.ts';
import type { Model } from '../model/model.ts';
import { itemsOf } from '../model/offers.ts';
import type { Remaining } from '../model/remaining.ts';
import { mustBuy } from '../planRows/minimumOrder.ts';
import type { PlanRows } from '../planRows/row.ts';
import type { Entry } from '../solvers/lp.ts';
import type { MipDraft } from '../solvers/mipDraft.ts';

export interface MinimumOrders {
  /** Writes what a plan buys into a vector of values: rolls bought and rolls used of each stock item. */
  write(values: number[], bought: number[], used: number[]): void;
}

/** Adds rows, binaries and rolls to spare; to be called before any column that uses a roll. */
export function addMinimumOrders(
  model: Model,
  remaining: Remaining,
  draft: MipDraft,
  rows: Rows,
): MinimumOrders {
  const offers = model.offers.map((_, o) => o).filter((o) => hasChoice(model, remaining, o));
  const own = offers.map((o) => addOffer(model, draft, rows, o));
  if (offers.length > 0) slotsExactly(model, draft, rows);
  return {
    write: (values, bought, used) => {
      for (const { taken, spare } of own) {
        for (const { s, column } of spare) values[column] = bought[s] - used[s];
        if (taken !== undefined && spare.some(({ s }) => bought[s] > 0)) values[taken] = 1;
      }
    },
  };
}

function hasChoice(model: Model, remaining: Remaining, offer: number): boolean {
  const items = itemsOf(model, offer);
  return model.offers[offer].minKg > 0 && items.some(({ s }) => remaining.stock[s] > 0);
}

function addOffer(model: Model, draft: MipDraft, rows: Rows, offer: number) {
  const { minKg } = model.offers[offer];
  const inMinima = (kg: number) => kg / minKg;
  const known = mustBuy(model, offer);
  const least = known ? undefined : draft.addRow(0, Infinity);
  const onlyTaken = known ? undefined : draft.addRow(-Infinity, 0);
  if (least !== undefined && onlyTaken !== undefined) rows.addFamily(usesOf(model, offer, least, onlyTaken));
  const most = itemsOf(model, offer).reduce((n, { s }) => Math.max(n, model.stock[s].count), 0);
  const taken =
    least === undefined || onlyTaken === undefined
      ? undefined
      : draft.addColumn(0, takenEntries(least, onlyTaken, most), 1, true);
  const minimum = least === undefined ? rows.entriesOfThing('ofExtra', offer) : [[least, 1]];
  const spare = itemsOf(model, offer).map(({ s, item }) => {
    const entries = minimum.map(([row]): Entry => [row, inMinima(item.kg)]);
    const rolls = Math.ceil(minKg / item.kg);
    return { s, column: draft.addColumn(item.cost, entries, model.stock[s].count > 0 ? rolls : 0, true) };
  });
  return { taken, spare };
}

const takenEntries = (least: number, onlyTaken: number, most: number): Entry[] => [
  [least, -1],
  [onlyTaken, -most],
];

/** How a roll of this offer that is used enters the two rows. */
function usesOf(model: Model, offer: number, least: number, onlyTaken: number): PlanRows {
  return {
    rows: [],
    ofRoll: (source) => {
      const { bought } = model.stock[model.sources[source].stock];
      if (bought?.offer !== offer) return [];
      return [
        [least, bought.kg / model.offers[offer].minKg],
        [onlyTaken, 1],
      ];
    },
  };
}

function slotsExactly(model: Model, draft: MipDraft, rows: Rows): void {
  for (const { index } of model.sites) {
    for (const [row] of rows.entriesOfThing('ofSlot', index)) draft.makeEqual(row);
  }
}
