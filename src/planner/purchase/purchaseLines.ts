// What may be ordered of one offer for one day: whole groups of rolls of its widths, at its first price, or at its second from
// the break on; all of its widths together come to its least order and share the price.
import type { Draft } from './purchaseDraft.ts';
import { type FilmRows, rowsFor } from './purchaseFilm.ts';
import { mostFilm } from './purchaseMost.ts';
import type { BuyingOffer } from './purchaseTask.ts';

/** Groups of rolls of an offer that arrive on a day at one of its prices. */
export interface Lot {
  offer: BuyingOffer;
  day: number;
  column: number;
}

/** Columns and rows of an order of a supplier for a day: that it is placed, its least value, the room in its containers. */
export interface OrderRows {
  placed: number;
  value: number | undefined;
  kg: number | undefined;
  rolls: number | undefined;
}

/** A price per kg, and for how much in one order it holds. */
interface Price {
  price: number;
  fromKg: number;
  belowKg: number;
}

export interface LinePlace {
  /** The offer, once for each of its widths. */
  widths: readonly BuyingOffer[];
  day: number;
  rows: FilmRows;
  /** Share of the price that lying in stock until the end costs. */
  held: number;
  order: OrderRows;
  minOrderValue: number;
}

const SLACK = 1e-9;

/** `only`: a row of which each line takes 1. */
export function addLines(draft: Draft, place: LinePlace, only: number | undefined): Lot[] {
  const { order, widths } = place;
  const prices = pricesOf(widths[0] as BuyingOffer);
  const sized = prices.map((price) => ({
    ...price,
    sizes: widths.map((one) => groupsAt(place, one, price)),
  }));
  const [simple] = sized;
  // Where one price holds from the first roll on, that the order is placed says enough.
  if (simple && sized.length === 1 && only === undefined && simple.sizes.every(({ fewest }) => fewest <= 1))
    return widths.map((one, w) => {
      const lot = addLot(draft, place, one, simple.price, simple.sizes[w]?.most ?? 0);
      atMost(draft, [[lot.column, 1]], simple.sizes[w]?.most ?? 0, order.placed);
      return lot;
    });
  const both = draft.addRow('<=', 0);
  draft.put(order.placed, both, -1);
  return sized.flatMap((price) => {
    if (price.sizes.every(({ fewest, most }) => fewest > most)) return [];
    const chosen = draft.addColumn(0, [[both, 1]], { upper: 1, whole: true });
    if (only !== undefined) draft.put(chosen, only, 1);
    return widths.length === 1
      ? [oneWidth(draft, place, price.price, price.sizes[0] as Size, chosen)]
      : severalWidths(draft, place, price, price.sizes, chosen);
  });
}

function pricesOf({ pricePerKg, minOrderKg, breakFromKg, breakPricePerKg }: BuyingOffer): Price[] {
  const first = { price: pricePerKg, fromKg: minOrderKg, belowKg: breakFromKg ?? Infinity };
  if (breakFromKg === undefined) return [first];
  const fromKg = Math.max(minOrderKg, breakFromKg);
  return [first, { price: breakPricePerKg as number, fromKg, belowKg: Infinity }];
}

interface Size {
  fewest: number;
  most: number;
}

/** How many groups of rolls may be taken at a price, and how many could be of use. */
function groupsAt(
  { rows, minOrderValue }: LinePlace,
  offer: BuyingOffer,
  { price, fromKg, belowKg }: Price,
): Size {
  const groupKg = offer.groupRolls * offer.rollKg;
  const fewest = Math.max(1, Math.ceil(fromKg / groupKg - SLACK));
  const forValue = price > 0 ? Math.ceil(minOrderValue / (groupKg * price) - SLACK) : 0;
  const useful = Math.ceil(mostFilm(rows, offer.widthUm) / (offer.groupRolls * offer.rollM2) - SLACK);
  return {
    fewest,
    most: Math.min(Math.max(fewest, forValue, useful), Math.ceil(belowKg / groupKg - SLACK) - 1),
  };
}

function oneWidth(
  draft: Draft,
  place: LinePlace,
  price: number,
  { fewest, most }: Size,
  chosen: number,
): Lot {
  const lot = addLot(draft, place, place.widths[0] as BuyingOffer, price, most);
  const atLeast = draft.addRow('>=', 0);
  draft.put(lot.column, atLeast, 1);
  draft.put(chosen, atLeast, -fewest);
  atMost(draft, [[lot.column, 1]], most, chosen);
  return lot;
}

/** All widths together make up the mass from which the price holds; what is just the break is dearer at the first price, never cheaper. */
function severalWidths(
  draft: Draft,
  place: LinePlace,
  { price, fromKg, belowKg }: Price,
  sizes: readonly Size[],
  chosen: number,
): Lot[] {
  const lots = place.widths.map((one, w) => {
    const most = Math.max(0, sizes[w]?.most ?? 0);
    const lot = addLot(draft, place, one, price, most);
    atMost(draft, [[lot.column, 1]], most, chosen);
    return lot;
  });
  const kg = lots.map(({ column, offer }): [number, number] => [column, offer.groupRolls * offer.rollKg]);
  const atLeast = draft.addRow('>=', 0);
  for (const [column, each] of kg) draft.put(column, atLeast, each);
  draft.put(chosen, atLeast, -Math.max(fromKg, Math.min(...kg.map(([, each]) => each))));
  if (Number.isFinite(belowKg)) atMost(draft, kg, belowKg, chosen);
  return lots;
}

function atMost(draft: Draft, parts: readonly [number, number][], most: number, chosen: number): void {
  const row = draft.addRow('<=', 0);
  for (const [column, each] of parts) draft.put(column, row, each);
  draft.put(chosen, row, -most);
}

function addLot(draft: Draft, place: LinePlace, offer: BuyingOffer, price: number, most: number): Lot {
  const { day, rows, held, order } = place;
  const groupKg = offer.groupRolls * offer.rollKg;
  const share = (offer.groupRolls * offer.rollM2) / rows.unitM2;
  const value = groupKg * price;
  const column = draft.addColumn(value * (1 + held), [], { upper: Math.max(0, most), whole: true });
  rowsFor(rows, offer.widthUm).forEach((row, d) => {
    if ((rows.given.days[d] as number) >= day) draft.put(column, row, share);
  });
  if (order.value !== undefined) draft.put(column, order.value, value);
  if (order.kg !== undefined) draft.put(column, order.kg, groupKg);
  if (order.rolls !== undefined) draft.put(column, order.rolls, offer.groupRolls);
  return { offer, day, column };
}
