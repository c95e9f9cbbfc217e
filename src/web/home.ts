// The first page: per door, what needs doing now, each line with the way to where it is dealt with.
// The most pressing line comes first; a door with nothing to do says so.
import { group } from 'd3-array';
import type { RequestHandler } from 'express';
import type { ProductBalance } from '../usecases/stockAgainstOrders.ts';
import {
  DUE_SOON_DAYS,
  EXPIRES_SOON_DAYS,
  type Needs,
  type OrderDue,
  type RollToSee,
  whatNeedsDoing,
} from '../usecases/whatNeedsDoing.ts';
import { showPage } from './page.ts';
import type { Services } from './services.ts';
import { andList, count, grouped, howSoon, rowHref } from './words.ts';

interface Link {
  text: string;
  href: string;
}

interface Todo {
  urgency: 'stop' | 'look' | 'calm';
  what: string;
  why: string;
  /** Figures one by one, each with its link first. */
  lines?: (Link & { rest: string })[];
  links: Link[];
}

/** So many are named one by one; the rest is one link away. */
const MOST_NAMED = 6;

/** GET /: what needs doing now. */
export function homePage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const needs = await whatNeedsDoing(services.db, today);
    const doors = [
      {
        name: 'Plan the slitting',
        href: '/plans',
        todo: planning(needs, today),
        calm: 'No order waits for a plan.',
      },
      {
        name: 'Buy the film',
        href: '/buy',
        todo: buying(needs, today),
        calm: 'The film in the house covers the open orders.',
      },
      {
        name: 'Answer a customer',
        href: '/answer',
        todo: answering(needs, today),
        calm: 'No customer waits for news.',
      },
    ];
    showPage(req, res, 'home', { title: 'What needs doing now', today, yet: needs.yet, doors });
  };
}

const squareMetres = (m2: number): string => `${grouped(Math.ceil(m2), 0)} m²`;
const nonEmpty = (todo: (Todo | undefined)[]): Todo[] => todo.filter((t) => t !== undefined);
const isFilm = (roll: RollToSee): boolean => roll.kind === 'base';

function planning(needs: Needs, today: string): Todo[] {
  const isOurs = (roll: RollToSee): boolean => !isFilm(roll);
  const late = needs.late.filter((order) => order.status === 'open');
  const short = needs.short.filter((balance) => balance.missingFilmM2 < balance.shortM2);
  return nonEmpty([
    orderLine('stop', late, today, (n) => `${count(n, 'order is', 'orders are')} late and not planned`),
    orderLine(
      'look',
      needs.soon,
      today,
      (n) => `${count(n, 'order is', 'orders are')} due within ${DUE_SOON_DAYS} days and not planned`,
    ),
    coatLine(short),
    ...heldLines(needs, isOurs),
    ...useByLines(needs, today, isOurs),
    stubLine(needs, today),
  ]);
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
    links: [
      ...named(
        orders.map((o) => ({ text: o.code, href: rowHref('orders', o.code) })),
        '/orders?status=open&sort=dueOn',
      ),
    ],
  };
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

const heldWords = (m2: number): string =>
  m2 > 0 ? `, ${squareMetres(m2)} more waits on hold or in quarantine` : '';

function heldLines(needs: Needs, isOurs: (roll: RollToSee) => boolean): (Todo | undefined)[] {
  return [
    rollLine(
      'look',
      needs.onHold.filter(isOurs),
      'on hold: decide whether to release, regrade or scrap',
      '/rolls?status=on+hold',
    ),
    rollLine(
      'look',
      needs.inQuarantine.filter(isOurs),
      'in quarantine: inspect and release, or hold',
      '/rolls?status=in+quarantine',
    ),
  ];
}

function useByLines(needs: Needs, today: string, isOurs: (roll: RollToSee) => boolean): (Todo | undefined)[] {
  const when = (roll: RollToSee): string => `${roll.code} ${howSoon(String(roll.useBy), today)}`;
  const list = '/rolls?sort=useBy';
  return [
    rollLine('stop', needs.expired.filter(isOurs), 'past the use-by day: no plan takes them', list, when),
    rollLine(
      'look',
      needs.expiring.filter(isOurs),
      `near the use-by day (${EXPIRES_SOON_DAYS} days): use these first`,
      list,
      when,
    ),
  ];
}

function rollLine(
  urgency: Todo['urgency'],
  rolls: RollToSee[],
  state: string,
  all: string,
  text: (roll: RollToSee) => string = (roll) => `${roll.code} ${roll.item}`,
): Todo | undefined {
  if (rolls.length === 0) return undefined;
  const notes = rolls
    .filter((roll) => roll.note)
    .slice(0, 3)
    .map((roll) => `${roll.code}: ${roll.note}`);
  return {
    urgency,
    what: `${count(rolls.length, 'roll is', 'rolls are')} ${rolls.length === 1 ? state.replace('these', 'it').replace('them', 'it') : state}.`,
    why: notes.join('; '),
    links: named(
      rolls.map((roll) => ({ text: text(roll), href: rowHref('rolls', roll.code) })),
      all,
    ),
  };
}

function stubLine(needs: Needs, today: string): Todo | undefined {
  if (needs.stubs.length === 0) return undefined;
  const useful = needs.stubs.filter((stub) => stub.fits > 0).length;
  const lines = needs.stubs.slice(0, MOST_NAMED).map((stub) => ({
    href: rowHref('rolls', stub.code),
    text: stub.code,
    rest:
      `${stub.item} ${grouped(stub.widthUm / 1000)} mm x ${grouped(stub.lengthMm / 1000)} m: ` +
      (stub.fits > 0 ? `fits ${count(stub.fits, 'open order line')}` : 'fits no open order') +
      (stub.useBy ? `; use by ${stub.useBy} (${howSoon(stub.useBy, today)})` : ''),
  }));
  const more = needs.stubs.length - lines.length;
  return {
    urgency: 'calm',
    what: `${count(needs.stubs.length, 'stub lies', 'stubs lie')} in the rack; ${useful === 0 ? 'none fits an open order' : `${grouped(useful)} could serve open orders`}.`,
    why: '',
    lines,
    links: more > 0 ? [{ text: `and ${grouped(more)} more`, href: '/rolls?kind=stub&status=released' }] : [],
  };
}

function buying(needs: Needs, today: string): Todo[] {
  const missing = needs.short.filter((balance) => balance.missingFilmM2 > 0);
  return nonEmpty([
    ...missing.map((balance) => toBuy(balance, today)),
    ...heldLines(needs, isFilm),
    ...useByLines(needs, today, isFilm),
  ]);
}

function toBuy(balance: ProductBalance, today: string): Todo {
  const film = balance.grades.length > 0 ? andList(balance.grades) : 'no grade is entered for it';
  const due = balance.firstDue
    ? ` The first order is due ${balance.firstDue} (${howSoon(balance.firstDue, today)}).`
    : '';
  return {
    urgency: 'stop',
    what: `Film for ${balance.product} ${balance.name} is short by at least ${squareMetres(balance.missingFilmM2)}.`,
    why: `It may be coated on: ${film}. Released film: ${squareMetres(balance.filmM2)}${heldWords(balance.heldFilmM2)}.${due}`,
    links: [
      ...balance.grades
        .slice(0, 3)
        .map((grade) => ({ text: `offers for ${grade}`, href: `/buy#${encodeURIComponent(grade)}` })),
      { text: 'its orders', href: `/orders?product=${encodeURIComponent(balance.product)}&status=open` },
    ],
  };
}

function answering(needs: Needs, today: string): Todo[] {
  const byCustomer = group(needs.late, (order) => order.customer);
  const told = [...byCustomer].map(([customer, orders]) => lateCustomer(customer, orders, today));
  const doubtful = needs.short.filter((balance) => balance.missingFilmM2 > 0);
  return [
    ...told,
    ...doubtful.map((balance) => ({
      urgency: 'look' as const,
      what: `${balance.product} ${balance.name}: do not promise more from stock.`,
      why: `${count(balance.orders, 'open order asks', 'open orders ask')} for ${squareMetres(balance.areaM2)}, more than is coated and what film there is to coat.`,
      links: [{ text: 'what there is', href: `/answer?product=${encodeURIComponent(balance.product)}` }],
    })),
  ];
}

function lateCustomer(customer: string, orders: OrderDue[], today: string): Todo {
  const first = orders[0] as OrderDue;
  return {
    urgency: 'stop',
    what: `${first.customerName} waits for ${count(orders.length, 'late order')}.`,
    why: `${first.code}, ${grouped(first.rolls)} rolls of ${first.product}, was due ${howSoon(first.dueOn, today)}; it is ${first.status === 'planned' ? 'planned' : 'not planned'}.`,
    links: named(
      orders.map((o) => ({ text: o.code, href: rowHref('orders', o.code) })),
      `/orders?customer=${encodeURIComponent(customer)}&sort=dueOn`,
    ),
  };
}

function named(links: Link[], all: string): Link[] {
  const more = links.length - MOST_NAMED;
  return more > 0 ? [...links.slice(0, MOST_NAMED), { text: `and ${grouped(more)} more`, href: all }] : links;
}
