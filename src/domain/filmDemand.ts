// What is asked for of base film, order by order: through the newest finished plan that was made for the order as it stands,
// else by its area and the usual yield of the product; and what forecasts expect beyond the orders. Areas in m2; film is
// needed on the day on which coating has to begin.
import { group, sum } from 'd3-array';
import { type FilmOfOrder, filmOfOrders, type PlanParts } from './filmOfPlan.ts';
import type { FilmEvent } from './netRequirement.ts';
import type { Row } from './resource.ts';
import { addDays, areaM2, type IsoDate, umToMm } from './units.ts';
import { mondayOf } from './weeks.ts';

/** Share of the film that becomes ordered strips where no plan tells. Default - verify: common practice, no source. */
export const USUAL_YIELD = 0.85;
export interface OrderNeed {
  order: string;
  customer: string;
  product: string;
  grade: string;
  needOn: IsoDate;
  dueOn: IsoDate | undefined;
  areaM2: number;
  /** The strips that are to be cut from it, m2 of theirs. */
  stripM2: number;
  widthUm: number;
  lengthMm: number;
  /** The plan that says so; undefined: worked out from the area. */
  plan: number | undefined;
}

export interface ProductYield {
  product: string;
  share: number;
  /** False: the default. */
  fromPlans: boolean;
}

export interface ForecastLine {
  code: string;
  product: string;
  weekOn: IsoDate;
  areaM2: number;
}

interface CoatedStock {
  kind: string;
  item: string;
  status: string;
  areaM2: number;
}

export interface Products {
  grades: Map<string, string[]>;
  leadDays: Map<string, number>;
  yields: Map<string, ProductYield>;
}

/** For each order the newest plan that was made for it as it stands, from rolls that are still there. */
export function coveringPlans(
  plans: readonly PlanParts[],
  orders: readonly Row[],
  usable: ReadonlySet<string>,
): Map<string, FilmOfOrder> {
  const covering = new Map<string, FilmOfOrder>();
  const open = new Map(orders.map((order) => [String(order.code), order]));
  for (const plan of plans) {
    const asItStands = plan.orders.filter((planned) => isSame(planned, open.get(planned.id)));
    const wanted = new Set(asItStands.map(({ id }) => id).filter((id) => !covering.has(id)));
    if (wanted.size === 0) continue;
    for (const film of filmOfOrders(plan))
      if (wanted.has(film.order) && film.planned > 0 && film.stockRolls.every((roll) => usable.has(roll)))
        covering.set(film.order, film);
  }
  return covering;
}

function isSame(planned: PlanParts['orders'][number], order: Row | undefined): boolean {
  if (!order) return false;
  return (
    planned.product === order.product &&
    planned.widthMm === umToMm(order.widthUm as number) &&
    planned.lengthM === (order.lengthMm as number) / 1000 &&
    planned.rolls === order.rolls &&
    (planned.dueOn ?? null) === (order.dueOn ?? null)
  );
}

/** Coated area, by product, that covering plans take from: it is not there for orders without a plan. */
export function coatedTaken(
  covering: ReadonlyMap<string, FilmOfOrder>,
  usable: readonly Row[],
): Map<string, number> {
  const named = new Set([...covering.values()].flatMap(({ stockRolls }) => stockRolls));
  const taken = usable.filter(({ code, kind }) => kind !== 'base' && named.has(String(code)));
  return new Map(
    [...group(taken, ({ item }) => String(item))].map(([product, rolls]) => [
      product,
      sum(rolls, (roll) => areaM2(roll.widthUm as number, roll.lengthMm as number)),
    ]),
  );
}

export function orderNeeds(
  orders: readonly Row[],
  covering: ReadonlyMap<string, FilmOfOrder>,
  products: Products,
  stock: readonly CoatedStock[],
  taken: ReadonlyMap<string, number>,
  today: IsoDate,
): OrderNeed[] {
  const coated = new Map<string, number>();
  for (const one of stock)
    if (one.kind !== 'base' && one.status === 'released')
      coated.set(one.item, (coated.get(one.item) ?? 0) + one.areaM2);
  for (const [product, areaM2] of taken) coated.set(product, (coated.get(product) ?? 0) - areaM2);
  const byDue = [...orders].sort((a, b) => String(a.dueOn ?? '9').localeCompare(String(b.dueOn ?? '9')));
  return byDue.flatMap((order) => {
    const product = String(order.product);
    const dueOn = (order.dueOn as IsoDate | null) ?? undefined;
    const needOn = addDays(dueOn ?? today, -(products.leadDays.get(product) ?? 0));
    const head = {
      ...{ order: String(order.code), customer: String(order.customer), product, dueOn },
      ...{ widthUm: order.widthUm as number, lengthMm: order.lengthMm as number },
    };
    const need = { ...head, needOn: needOn < today ? today : needOn };
    const plan = covering.get(head.order);
    const planned = (plan?.film ?? []).map((film) => ({ ...need, ...film, plan: plan?.plan }));
    const rolls = Math.max(0, (order.rolls as number) - (plan?.planned ?? 0));
    const bare = rolls * areaM2(order.widthUm as number, order.lengthMm as number);
    const fromCoated = Math.max(0, Math.min(bare, (coated.get(product) ?? 0) * shareOf(products, product)));
    coated.set(product, (coated.get(product) ?? 0) - fromCoated / shareOf(products, product));
    const grade = products.grades.get(product)?.[0];
    const left = (bare - fromCoated) / shareOf(products, product);
    if (left <= 0 || grade === undefined) return planned;
    return [...planned, { ...need, grade, areaM2: left, stripM2: bare - fromCoated, plan: undefined }];
  });
}

const shareOf = (products: Products, product: string): number =>
  products.yields.get(product)?.share ?? USUAL_YIELD;

/** What forecasts expect beyond the open orders that are due in their week, by grade. */
export function forecastEvents(
  forecasts: readonly ForecastLine[],
  orders: readonly Row[],
  products: Products,
): Map<string, FilmEvent[]> {
  const events = new Map<string, FilmEvent[]>();
  for (const [product, ofProduct] of group(forecasts, (line) => line.product))
    for (const [weekOn, lines] of group(ofProduct, (line) => line.weekOn)) {
      const due = orders.filter(
        (order) => order.product === product && order.dueOn && mondayOf(order.dueOn as IsoDate) === weekOn,
      );
      const ordered = sum(
        due,
        (o) => (o.rolls as number) * areaM2(o.widthUm as number, o.lengthMm as number),
      );
      const beyond = sum(lines, (line) => line.areaM2) - ordered;
      const grade = products.grades.get(product)?.[0];
      if (beyond <= 0 || grade === undefined) continue;
      const day = addDays(weekOn, -(products.leadDays.get(product) ?? 0));
      const code = lines.map((line) => line.code).join(', ');
      const event = { day, areaM2: beyond / shareOf(products, product), what: 'forecast', code } as const;
      events.set(grade, [...(events.get(grade) ?? []), event]);
    }
  return events;
}
