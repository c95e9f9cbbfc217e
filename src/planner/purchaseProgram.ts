// The mixed-integer program of a purchase: how many groups of rolls of each offer arrive on each day at which of its prices,
// which orders of a supplier that makes, how many containers they fill, and what is late. Rows are one-sided, so that the same
// program can be relaxed (lp.ts) and solved in whole numbers (highs.ts).
import type { MipModel } from './highs.ts';
import type { Entry, LpRow } from './lp.ts';
import {
  type Buckets,
  type BuyingOffer,
  type BuyingTask,
  bucketsOf,
  type SupplierTerms,
} from './purchaseTask.ts';

/** Groups of rolls of an offer that arrive on a day at one of its prices. */
export interface Lot {
  offer: BuyingOffer;
  day: number;
  column: number;
}

export interface PurchaseProgram {
  rows: LpRow[];
  mip: MipModel;
  lots: Lot[];
}

interface Draft extends PurchaseProgram {
  addRow(row: LpRow): number;
  addColumn(cost: number, upper: number, whole: boolean, entries?: Entry[]): number;
  put(column: number, row: number, value: number): void;
}

const SLACK = 1e-9;

/** The program; `oneOrderOf`: all film of this grade comes in one line. */
export function purchaseProgram(task: BuyingTask, oneOrderOf?: string): PurchaseProgram {
  const draft = openProgram();
  const buckets = bucketsOf(task.grades, task.offers);
  const covers = coverRows(draft, task, buckets);
  const only = oneOrderOf === undefined ? undefined : draft.addRow({ sense: '<=', rhs: 1 });
  for (const [supplier, offers] of bySupplier(task.offers)) {
    const terms = task.terms.find((one) => one.supplier === supplier);
    for (const [d, day] of buckets.days.entries()) {
      // Also after its last need: what comes late may still come cheaper, with another order.
      const able = offers.filter(({ earliestDay }) => day >= earliestDay);
      if (able.length === 0) continue;
      const order = addOrder(draft, task, terms);
      for (const offer of able)
        addLots(
          draft,
          task,
          { offer, day, d, buckets, terms, order },
          covers,
          offer.grade === oneOrderOf ? only : undefined,
        );
    }
  }
  return draft;
}

function openProgram(): Draft {
  const rows: LpRow[] = [];
  const mip: MipModel = { rowLower: [], rowUpper: [], cost: [], columns: [], upper: [], whole: [] };
  return {
    rows,
    mip,
    lots: [],
    addRow(row) {
      rows.push(row);
      mip.rowLower.push(row.sense === '>=' ? row.rhs : -Infinity);
      mip.rowUpper.push(row.sense === '<=' ? row.rhs : Infinity);
      return rows.length - 1;
    },
    addColumn(cost, upper, whole, entries = []) {
      mip.cost.push(cost);
      mip.upper.push(upper);
      mip.whole.push(whole);
      mip.columns.push([...entries]);
      return mip.cost.length - 1;
    },
    put: (column, row, value) => mip.columns[column].push([row, value]),
  };
}

function bySupplier(offers: readonly BuyingOffer[]): Map<string, BuyingOffer[]> {
  const found = new Map<string, BuyingOffer[]>();
  for (const offer of offers) found.set(offer.supplier, [...(found.get(offer.supplier) ?? []), offer]);
  return found;
}

/** Of what has to have come by a day has come what is not late; by the last day all of it. Shares of the need, so that sizes are alike. */
function coverRows(
  draft: Draft,
  { grades }: BuyingTask,
  { days, neededM2 }: Buckets,
): Map<string, (number | undefined)[]> {
  return new Map(
    grades.map(({ grade, latePerM2Day }) => [
      grade,
      (neededM2.get(grade) ?? []).map((needed, d) => {
        if (needed <= 0) return undefined;
        const row = draft.addRow({ sense: '>=', rhs: 1 });
        const next = days[d + 1];
        if (next !== undefined)
          draft.addColumn(latePerM2Day * (next - (days[d] as number)) * needed, 1, false, [[row, 1]]);
        return row;
      }),
    ]),
  );
}

interface Order {
  placed: number;
  value: number | undefined;
  kg: number | undefined;
  rolls: number | undefined;
}

/** An order of a supplier for a day: its cost, its least value, its containers. */
function addOrder(draft: Draft, { costs }: BuyingTask, terms: SupplierTerms | undefined): Order {
  const placed = draft.addColumn(costs.perOrder, 1, true);
  const room = terms && (terms.containerKg !== undefined || terms.containerRolls !== undefined);
  const containers = room ? draft.addColumn(terms.containerCost, Infinity, true) : undefined;
  const row = (sense: LpRow['sense'], column: number | undefined, value: number | undefined) => {
    if (column === undefined || value === undefined) return undefined;
    const made = draft.addRow({ sense, rhs: 0 });
    draft.put(column, made, -value);
    return made;
  };
  return {
    placed,
    value: row('>=', placed, terms?.minOrderValue),
    kg: row('<=', containers, terms?.containerKg),
    rolls: row('<=', containers, terms?.containerRolls),
  };
}

/** A price per kg, and for how much in one order it holds. */
interface Price {
  price: number;
  fromKg: number;
  belowKg: number;
}

interface Place {
  offer: BuyingOffer;
  day: number;
  d: number;
  buckets: Buckets;
  terms: SupplierTerms | undefined;
  order: Order;
}

/** What may be ordered of an offer on a day: at its first price, or at its second from the break on. */
function addLots(
  draft: Draft,
  task: BuyingTask,
  place: Place,
  covers: ReadonlyMap<string, (number | undefined)[]>,
  only: number | undefined,
): void {
  const { offer, order } = place;
  const least = offer.minOrderKg;
  const { breakFromKg, breakPricePerKg } = offer;
  const prices: Price[] = [{ price: offer.pricePerKg, fromKg: least, belowKg: breakFromKg ?? Infinity }];
  if (breakFromKg !== undefined)
    prices.push({
      price: breakPricePerKg as number,
      fromKg: Math.max(least, breakFromKg),
      belowKg: Infinity,
    });
  const sized = prices.map((price) => ({ ...groupsAt(place, price), price: price.price }));
  const [simple] = sized;
  // Where one price holds from the first roll on, that the order is placed says enough.
  if (simple && sized.length === 1 && simple.fewest === 1 && only === undefined) {
    addLot(draft, task, place, covers, { ...simple, fewest: 0, chosen: order.placed });
    return;
  }
  const both = draft.addRow({ sense: '<=', rhs: 0 });
  draft.put(order.placed, both, -1);
  for (const size of sized) {
    if (size.fewest > size.most) continue;
    const chosen = draft.addColumn(0, 1, true, [[both, 1]]);
    if (only !== undefined) draft.put(chosen, only, 1);
    addLot(draft, task, place, covers, { ...size, chosen });
  }
}

/** How many groups of rolls may be taken at a price, and how many could be of use. */
function groupsAt(
  { offer, buckets, terms }: Place,
  { price, fromKg, belowKg }: Price,
): { fewest: number; most: number } {
  const groupKg = offer.groupRolls * offer.rollKg;
  const needed = Math.max(0, ...(buckets.neededM2.get(offer.grade) ?? []));
  const fewest = Math.max(1, Math.ceil(fromKg / groupKg - SLACK));
  const forValue = price > 0 ? Math.ceil((terms?.minOrderValue ?? 0) / (groupKg * price) - SLACK) : 0;
  const useful = Math.ceil(needed / (offer.groupRolls * offer.rollM2) - SLACK);
  return {
    fewest,
    most: Math.min(Math.max(fewest, forValue, useful), Math.ceil(belowKg / groupKg - SLACK) - 1),
  };
}

interface LotSize {
  fewest: number;
  most: number;
  price: number;
  chosen: number;
}

function addLot(
  draft: Draft,
  { costs }: BuyingTask,
  { offer, day, d, buckets, order }: Place,
  covers: ReadonlyMap<string, (number | undefined)[]>,
  { fewest, most, price, chosen }: LotSize,
): void {
  const groupKg = offer.groupRolls * offer.rollKg;
  const groupM2 = offer.groupRolls * offer.rollM2;
  const needed = buckets.neededM2.get(offer.grade) ?? [];
  const value = groupKg * price;
  const held = (costs.holdingShare * Math.max(0, buckets.end - day)) / 365;
  const lot = draft.addColumn(value * (1 + held), most, true);
  if (fewest > 0) {
    const atLeast = draft.addRow({ sense: '>=', rhs: 0 });
    draft.put(lot, atLeast, 1);
    draft.put(chosen, atLeast, -fewest);
  }
  const atMost = draft.addRow({ sense: '<=', rhs: 0 });
  draft.put(lot, atMost, 1);
  draft.put(chosen, atMost, -most);
  covers.get(offer.grade)?.forEach((row, t) => {
    if (row !== undefined && t >= d) draft.put(lot, row, groupM2 / (needed[t] as number));
  });
  if (order.value !== undefined) draft.put(lot, order.value, value);
  if (order.kg !== undefined) draft.put(lot, order.kg, groupKg);
  if (order.rolls !== undefined) draft.put(lot, order.rolls, offer.groupRolls);
  draft.lots.push({ offer, day, column: lot });
}
