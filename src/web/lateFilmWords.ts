// Late film in words: what is late, which orders wait for it and whose they are. On the pages of purchase orders and the first page.
import type { LateLine } from '../usecases/buying/lateFilm.ts';
import type { Todo } from './todo.ts';
import { andList, count, rowHref } from './words.ts';

export const orderHref = (code: string): string => `/purchase-orders/${encodeURIComponent(code)}`;

export function lateWords({ order, line, why, hit }: LateLine): { what: string; customers: string } {
  const film = `Line ${line.line}, ${line.grade} from ${order.supplierName}`;
  const what =
    why === 'overdue'
      ? `${film}, was expected on ${line.confirmedOn ?? line.wantedOn} and has not come.`
      : `${film}, was wanted on ${line.wantedOn} and is confirmed for ${line.confirmedOn}.`;
  const names = [...new Set(hit.map(({ customerName }) => customerName))];
  const customers =
    hit.length === 0
      ? 'No open order needs it between those days that nothing else covers.'
      : `${count(hit.length, 'order waits', 'orders wait')} for it: ${andList(names)} ${names.length === 1 ? 'is' : 'are'} hit.`;
  return { what, customers };
}

/** So many orders are named of each late line. */
const MOST_NAMED = 4;

/** A late line among what the purchaser has to do. */
export function lateTodo(late: LateLine): Todo {
  const { what, customers } = lateWords(late);
  const { code } = late.order;
  return {
    urgency: late.hit.length > 0 ? 'stop' : 'look',
    what: `${code}: ${what}`,
    why: customers,
    links: [
      { text: code, href: orderHref(code) },
      ...late.hit.slice(0, MOST_NAMED).map(({ order }) => ({ text: order, href: rowHref('orders', order) })),
    ],
  };
}
