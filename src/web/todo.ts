// The lines of the first page: what needs doing, why, and where. What several doors say alike is here; what one door
// says is in todoPlanning.ts, todoBuying.ts and todoAnswering.ts.
import {
  EXPIRES_SOON_DAYS,
  MOST_NAMED,
  type OrderDue,
  type RollNeeds,
  type RollToSee,
  type Some,
} from '../usecases/whatNeedsDoing.ts';
import { count, grouped, howSoon, rowHref } from './words.ts';

interface Link {
  text: string;
  href: string;
}

export interface Todo {
  urgency: 'stop' | 'look' | 'calm';
  what: string;
  why: string;
  /** Figures one by one, each with its link first. */
  lines?: (Link & { rest: string })[];
  links: Link[];
}

/** The first few of the links, and one to all `total` when there are more. */
export function named(links: Link[], total: number, all: string): Link[] {
  const first = links.slice(0, MOST_NAMED);
  const more = total - first.length;
  return more > 0 ? [...first, { text: `and ${grouped(more)} more`, href: all }] : first;
}

/** Links to orders, the first few by name. */
export function orderLinks(orders: OrderDue[], all: string): Link[] {
  const links = orders.map((order) => ({ text: order.code, href: rowHref('orders', order.code) }));
  return named(links, orders.length, all);
}

/** An area that is needed: rounded up. */
export const squareMetres = (m2: number): string => `${grouped(Math.ceil(m2), 0)} m²`;

/** What is there besides, but may not be used yet. */
export const heldWords = (m2: number): string =>
  m2 > 0 ? `, ${squareMetres(m2)} more waits on hold or in quarantine` : '';

/** Rolls on hold and in quarantine. */
export function heldLines(needs: RollNeeds): (Todo | undefined)[] {
  const item = (roll: RollToSee): string => `${roll.code} ${roll.item}`;
  const hold = 'on hold: decide whether to release, regrade or scrap';
  return [
    rollLine('look', needs.onHold, hold, '/rolls?status=on+hold', item),
    rollLine(
      'look',
      needs.inQuarantine,
      'in quarantine: inspect and release, or hold',
      '/rolls?status=in+quarantine',
      item,
    ),
  ];
}

/** Rolls past or near their use-by day. */
export function useByLines(needs: RollNeeds, today: string): (Todo | undefined)[] {
  const when = (roll: RollToSee): string => `${roll.code} ${howSoon(String(roll.useBy), today)}`;
  const near = `near the use-by day (${EXPIRES_SOON_DAYS} days): use first`;
  const list = '/rolls?sort=useBy';
  return [
    rollLine('stop', needs.expired, 'past the use-by day: no plan may count on it', list, when),
    rollLine('look', needs.expiring, near, list, when),
  ];
}

function rollLine(
  urgency: Todo['urgency'],
  rolls: Some<RollToSee>,
  state: string,
  all: string,
  text: (roll: RollToSee) => string,
): Todo | undefined {
  if (rolls.total === 0) return undefined;
  const noted = rolls.first.filter((roll) => roll.note).slice(0, 3);
  const links = rolls.first.map((roll) => ({ text: text(roll), href: rowHref('rolls', roll.code) }));
  return {
    urgency,
    what: `${count(rolls.total, 'roll is', 'rolls are')} ${state}.`,
    why: noted.map((roll) => `${roll.code}: ${roll.note}`).join('; '),
    links: named(links, rolls.total, all),
  };
}
