// What the planner has to do: late and near orders, what to coat, rolls to decide on or use first, stubs.
import type { ProductBalance } from '../usecases/planning/stockAgainstOrders.ts';
import { DUE_SOON_DAYS, type Needs, type OrderDue } from '../usecases/whatNeedsDoing.ts';
import { planLine } from './plans/plansList.ts';
import { heldLines, heldWords, named, orderLinks, squareMetres, type Todo, useByLines } from './todo.ts';
import { andList, count, grouped, howSoon, rowHref } from './words.ts';

/** So many orders are ticked by one link: an address must stay short enough for every browser. */
const MOST_IN_ADDRESS = 50;

/** What the planner has to do, the most pressing first. */
export function planning(needs: Needs, today: string): Todo[] {
  const late = needs.late.filter((order) => order.status === 'open');
  const short = needs.short.filter((balance) => balance.missingFilmM2 < balance.shortM2);
  return [
    orderLine('stop', late, today, (n) => `${count(n, 'order is', 'orders are')} late and not planned`),
    orderLine(
      'look',
      needs.soon,
      today,
      (n) => `${count(n, 'order is', 'orders are')} due within ${DUE_SOON_DAYS} days and not planned`,
    ),
    coatLine(short),
    ...heldLines(needs.coated),
    ...useByLines(needs.coated, today),
    stubLine(needs, today),
    plansLine(needs),
  ].filter((line) => line !== undefined);
}

function orderLine(
  urgency: Todo['urgency'],
  orders: OrderDue[],
  today: string,
  words: (n: number) => string,
): Todo | undefined {
  if (orders.length === 0) return undefined;
  const products = [...new Set(orders.map((o) => o.product))];
  const first = orders[0] as OrderDue;
  return {
    urgency,
    what: `${words(orders.length)}.`,
    why: `The first, ${first.code}, was asked for ${first.dueOn} (${howSoon(first.dueOn, today)}). Plan ${andList(products)}.`,
    links: [planLink(orders), ...orderLinks(orders, '/orders?status=open&sort=dueOn')],
  };
}

function planLink(orders: OrderDue[]) {
  const ticked = orders.slice(0, MOST_IN_ADDRESS).map((order): [string, string] => ['order', order.code]);
  const text = ticked.length < orders.length ? `plan the first ${ticked.length}` : 'plan them';
  return { text, href: `/plans?${new URLSearchParams(ticked)}` };
}

/** One line for all products to coat, the shortest due first; their figures under it. */
function coatLine(short: ProductBalance[]): Todo | undefined {
  if (short.length === 0) return undefined;
  const lines = short.map((b) => ({
    href: `/answer?product=${encodeURIComponent(b.product)}`,
    text: b.product,
    rest:
      `${squareMetres(b.shortM2 - b.missingFilmM2)} more; ${squareMetres(b.coatedM2)} of ${squareMetres(b.areaM2)} is coated${heldWords(b.heldM2)}` +
      (b.sharedWith.length > 0 ? `; ${andList(b.sharedWith)} may want the same film` : ''),
  }));
  const n = short.length;
  return {
    urgency: 'look',
    what: `${count(n, 'product has', 'products have')} more on order than is coated. Coat at least:`,
    why: '',
    lines,
    links: [],
  };
}

function stubLine({ stubs }: Needs, today: string): Todo | undefined {
  const { total, useful, first } = stubs;
  if (total === 0) return undefined;
  const lines = first.map((stub) => ({
    href: rowHref('rolls', stub.code),
    text: stub.code,
    rest:
      `${stub.item} ${grouped(stub.widthUm / 1000)} mm x ${grouped(stub.lengthMm / 1000)} m: ` +
      (stub.fits > 0 ? `fits ${count(stub.fits, 'open order line')}` : 'fits no open order') +
      (stub.useBy ? `; use by ${stub.useBy} (${howSoon(stub.useBy, today)})` : ''),
  }));
  const could = useful === 0 ? 'none fits an open order' : `${grouped(useful)} could serve open orders`;
  return {
    urgency: 'calm',
    what: `${count(total, 'stub lies', 'stubs lie')} in the rack; ${could}.`,
    why: '',
    lines,
    links: named([], total - first.length, '/rolls?kind=stub&status=released'),
  };
}

/** The newest plans: how each stands, and what it takes. */
function plansLine({ plans: { rows, total } }: Needs): Todo | undefined {
  if (total === 0) return undefined;
  const lines = rows.map(planLine).map((plan) => ({
    href: `/plans/${plan.id}`,
    text: `Plan ${plan.id}`,
    rest: `${plan.title}: ${plan.status}${plan.takes ? `; ${plan.takes}` : ''}`,
  }));
  return {
    urgency: 'calm',
    what: total === 1 ? 'One plan was made.' : 'The newest plans:',
    why: '',
    lines,
    links: named([], total - rows.length, '/plans/all'),
  };
}
