// Late film in words: what is late, which orders wait for it and whose they are. On the pages of purchase orders and the first page.
import type { LateLine } from '../usecases/buying/lateFilm.ts';
import type { LateOutcome, OrderHit } from '../usecases/buying/lateOutcome.ts';
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

/** What came of planning the orders again: in one sentence, and order by order. */
export function outcomeWords(outcome: LateOutcome | undefined) {
  if (!outcome) return undefined;
  const { plan, state, trouble, hit, planned } = outcome;
  const link = plan === undefined ? undefined : { text: `plan ${plan}`, href: `/plans/${plan}` };
  const lines = hit.map((one) => ({ ...one, href: rowHref('orders', one.order), words: hitWords(one) }));
  return { link, lines, words: stateWords(state, planned, hit.length, trouble) };
}

function stateWords(
  state: LateOutcome['state'],
  planned: number,
  hit: number,
  trouble: string | undefined,
): string {
  if (state === 'waiting') return 'All orders that take this film wait to be planned again.';
  if (state === 'running') return 'All orders that take this film are being planned again.';
  if (state === 'cancelled') return 'Planning them again was cancelled.';
  if (state !== 'done') return `They could not be planned again: ${trouble ?? 'the plan is gone'}`;
  if (hit === 0)
    return `Planned again, ${planned === 1 ? 'the order' : `all ${planned} orders`} can be made by the day promised.`;
  return `Planned again, ${hit} of ${count(planned, 'order')} ${hit === 1 ? 'misses' : 'miss'} the day promised.`;
}

function hitWords({ promisedOn, newOn, days, short }: OrderHit): string {
  const parts = [
    days ? `${count(days, 'day')} late: promised for ${promisedOn}, now ${newOn}` : '',
    short > 0 ? `${count(short, 'roll')} short` : '',
  ];
  return parts.filter((part) => part !== '').join('; ');
}

/** So many orders are named of each late line. */
const MOST_NAMED = 4;

/** A late line among what the purchaser has to do. */
export function lateTodo(late: LateLine): Todo {
  const { what, customers } = lateWords(late);
  const { code } = late.order;
  const outcome = outcomeWords(late.outcome);
  return {
    urgency: late.hit.length > 0 ? 'stop' : 'look',
    what: `${code}: ${what}`,
    why: outcome ? `${customers} ${outcome.words}` : customers,
    lines: outcome?.lines.map(({ order, href, customerName, words }) => ({
      ...{ text: order, href, rest: `for ${customerName}: ${words}` },
    })),
    links: [
      { text: code, href: orderHref(code) },
      ...(outcome?.link ? [outcome.link] : []),
      ...late.hit.slice(0, MOST_NAMED).map(({ order }) => ({ text: order, href: rowHref('orders', order) })),
    ],
  };
}
