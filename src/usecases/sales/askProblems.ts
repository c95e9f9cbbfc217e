// Problems that a question turns into: the kept runs locked and the asked rolls around them; all rearranged with every
// order keeping its rolls and its day; and the same without any cost but that of falling short, to prove a no.
import {
  ASKED,
  type ASKED_LATER,
  type Kept,
  LATE_IN_PROMISES,
  type ProblemOrder,
  type SalesState,
} from '../../domain/answer.ts';
import { untimed } from '../../domain/plan.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { type Question, rollsTaken } from '../../domain/question.ts';
import { addDays, type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import type { Cut } from './askSources.ts';

/** So many of the asked rolls by a day; several lines where a part comes later. */
export interface AskedLine {
  id: typeof ASKED | typeof ASKED_LATER;
  rolls: number;
  /** At least so many of them; at most `most`. */
  least: number;
  most: number;
  by: IsoDate | undefined;
}

/** All that is asked, as one line; `shelf` of it lie finished on the shelf. */
export function wholeLine(q: Question, shelf: number, by: IsoDate | undefined = q.dueOn): AskedLine {
  const { minRolls, maxRolls } = rollsTaken(q);
  const rolls = q.rolls - shelf;
  return {
    id: ASKED,
    rolls,
    least: Math.max(1, minRolls - shelf),
    most: Math.max(rolls, maxRolls - shelf),
    by,
  };
}

export function asOrder(q: Question, { id, rolls, least, most, by }: AskedLine): ProblemOrder {
  return {
    id,
    product: q.product,
    widthMm: umToMm(q.widthUm),
    lengthM: mmToM(q.lengthMm),
    rolls,
    overPct: (100 * (most - rolls)) / rolls,
    underPct: (100 * (rolls - least)) / rolls,
    ...(by ? { dueOn: by } : {}),
    priority: 'rush',
  };
}

/** The existing orders by themselves, as they are planned without the question. */
export const existingAlone = (state: SalesState): ProblemDocument => ({
  ...state.document,
  fillers: [],
  costs: { ...state.document.costs, perLateRollDay: LATE_IN_PROMISES },
});

/** The asked rolls around the runs that the existing orders keep. */
export function aroundKept(
  state: SalesState,
  kept: Kept,
  cut: Cut,
  q: Question,
  lines: AskedLine[],
): ProblemDocument {
  const made = madeBy(kept);
  // No more of them than is made: an extra roll in a later run would make its order look late.
  const orders = keptOrders(state, kept, (id) => made.get(id) ?? 0).map((order) => ({
    ...order,
    overPct: 0,
  }));
  // A roll that is locked must be there whole, whatever the cut allows beside.
  const whole = new Map([...(state.document.rolls ?? []), ...kept.bought].map((roll) => [roll.id, roll]));
  const locked = new Set(kept.runs.flatMap((run) => run.from.map(({ roll }) => roll)));
  const rolls = cut.rolls.map((roll) => (locked.has(roll.id) ? (whole.get(roll.id) ?? roll) : roll));
  return {
    ...together(state, cut.offers, rolls, [...orders, ...lines.map((line) => asOrder(q, line))]),
    locks: kept.runs.map(untimed),
  };
}

function madeBy(kept: Kept): Map<string, number> {
  const made = new Map<string, number>();
  for (const { strips, sets } of kept.runs)
    for (const { order } of strips) if (order !== undefined) made.set(order, (made.get(order) ?? 0) + sets);
  return made;
}

/** Everything rearranged; the existing orders keep their rolls and their days. */
export function rearranged(
  state: SalesState,
  kept: Kept,
  cut: Cut,
  q: Question,
  lines: AskedLine[],
): ProblemDocument {
  const rollsOf = new Map(kept.orders.map(({ id, rolls }) => [id, rolls]));
  const orders = keptOrders(state, kept, (id) => rollsOf.get(id) ?? 0);
  return together(state, cut.offers, cut.rolls, [...orders, ...lines.map((line) => asOrder(q, line))]);
}

function together(
  state: SalesState,
  offers: Cut['offers'],
  rolls: Cut['rolls'],
  orders: ProblemOrder[],
): ProblemDocument {
  const costs = { ...state.document.costs, perLateRollDay: LATE_IN_PROMISES };
  return { ...state.document, rolls, offers, orders, costs, fillers: [] };
}

/** The existing orders with so many rolls as they keep and their own limit above; those that get none are left out. */
function keptOrders(state: SalesState, kept: Kept, rollsOf: (id: string) => number): ProblemOrder[] {
  const days = new Map(kept.orders.map(({ id, by }) => [id, by]));
  return state.document.orders.flatMap((order) => {
    const rolls = rollsOf(order.id);
    if (rolls === 0) return [];
    const { goodRollPct, completePct, dueOn, ...rest } = order;
    const most = Math.max(rolls, Math.floor((order.rolls * (100 + (order.overPct ?? 0))) / 100 + 1e-9));
    const by = days.get(order.id);
    return [
      {
        ...rest,
        rolls,
        underPct: 0,
        overPct: (100 * (most - rolls)) / rolls,
        ...(by ? { dueOn: by } : {}),
      },
    ];
  });
}

/** Price of a missing square metre where nothing else costs anything. */
export const SHORT_ONLY = 1000;

/**
 * Nothing costs anything but falling short, work takes no time, and only what is ready by `by` counts, for the orders
 * that are kept by then: whatever is short here is short in every plan. `by` undefined: all film, all orders.
 */
export function shortageOnly(
  state: SalesState,
  kept: Kept,
  cut: Cut,
  q: Question,
  line: AskedLine,
  by: IsoDate | undefined,
): ProblemDocument {
  const coating = state.document.products[0]?.coating;
  const near = (day: string | undefined, lead: number) =>
    by === undefined || addDays((day ?? state.today) as IsoDate, lead) <= by;
  const rolls = cut.rolls
    .filter((roll) => near(roll.readyOn, roll.kind === 'base' ? (coating?.leadDays ?? 0) : 0))
    .map((roll) => ({ ...roll, costPerRoll: 0 }));
  const offers = cut.offers
    .filter((offer) => near(undefined, (offer.leadTimeDays ?? 0) + (coating?.leadDays ?? 0)))
    .map((offer) => ({ ...offer, pricePerKg: 0, minOrderKg: 0 }));
  const inTime = { ...kept, orders: kept.orders.filter((one) => by === undefined || (one.by ?? '9') <= by) };
  const rollsOf = new Map(inTime.orders.map((one) => [one.id, one.rolls]));
  const existing = keptOrders(state, inTime, (id) => rollsOf.get(id) ?? 0);
  const orders = [...existing, asOrder(q, line)].map(({ dueOn, ...order }) => order);
  return {
    ...state.document,
    rolls,
    offers,
    orders,
    fillers: [],
    slitters: state.document.slitters.map((slitter) => ({ ...slitter, costPerHour: 0 })),
    products: state.document.products.map((product) =>
      product.coating ? { ...product, coating: { ...product.coating, costPerM2: 0 } } : product,
    ),
    costs: { perShortM2: SHORT_ONLY, perLateRollDay: 0, holdingPerM2: 0 },
  };
}

/** The same with machine time as the only other cost, one for each minute: it costs at least what work it takes. */
export function minutesOnly(document: ProblemDocument): ProblemDocument {
  return { ...document, slitters: document.slitters.map((slitter) => ({ ...slitter, costPerHour: 60 })) };
}
