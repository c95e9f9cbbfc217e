// The lines of the first page: what needs doing, why, and where. What several doors say alike is here; what one door
// says is in todoPlanning.ts, todoBuying.ts and todoAnswering.ts.
import { EXPIRES_SOON_DAYS, type Needs, type RollToSee } from '../usecases/whatNeedsDoing.ts';
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

/** So many are named one by one; the rest is one link away. */
export const MOST_NAMED = 6;

/** The first few of the links, and one to all when there are more. */
export function named(links: Link[], all: string): Link[] {
  const more = links.length - MOST_NAMED;
  return more > 0 ? [...links.slice(0, MOST_NAMED), { text: `and ${grouped(more)} more`, href: all }] : links;
}

/** An area that is needed: rounded up. */
export const squareMetres = (m2: number): string => `${grouped(Math.ceil(m2), 0)} m²`;
/** What is there besides, but may not be used yet. */
export const heldWords = (m2: number): string =>
  m2 > 0 ? `, ${squareMetres(m2)} more waits on hold or in quarantine` : '';

type IsOurs = (roll: RollToSee) => boolean;

/** Rolls on hold and in quarantine, of those that are ours. */
export function heldLines(needs: Needs, isOurs: IsOurs): (Todo | undefined)[] {
  const item = (roll: RollToSee): string => `${roll.code} ${roll.item}`;
  const held = needs.onHold.filter(isOurs);
  const waiting = needs.inQuarantine.filter(isOurs);
  return [
    rollLine(
      'look',
      held,
      'on hold: decide whether to release, regrade or scrap',
      '/rolls?status=on+hold',
      item,
    ),
    rollLine(
      'look',
      waiting,
      'in quarantine: inspect and release, or hold',
      '/rolls?status=in+quarantine',
      item,
    ),
  ];
}

/** Rolls past or near their use-by day, of those that are ours. */
export function useByLines(needs: Needs, today: string, isOurs: IsOurs): (Todo | undefined)[] {
  const when = (roll: RollToSee): string => `${roll.code} ${howSoon(String(roll.useBy), today)}`;
  const near = `near the use-by day (${EXPIRES_SOON_DAYS} days): use first`;
  const list = '/rolls?sort=useBy';
  return [
    rollLine(
      'stop',
      needs.expired.filter(isOurs),
      'past the use-by day: no plan may count on it',
      list,
      when,
    ),
    rollLine('look', needs.expiring.filter(isOurs), near, list, when),
  ];
}

function rollLine(
  urgency: Todo['urgency'],
  rolls: RollToSee[],
  state: string,
  all: string,
  text: (roll: RollToSee) => string,
): Todo | undefined {
  if (rolls.length === 0) return undefined;
  const noted = rolls.filter((roll) => roll.note).slice(0, 3);
  return {
    urgency,
    what: `${count(rolls.length, 'roll is', 'rolls are')} ${state}.`,
    why: noted.map((roll) => `${roll.code}: ${roll.note}`).join('; '),
    links: named(
      rolls.map((roll) => ({ text: text(roll), href: rowHref('rolls', roll.code) })),
      all,
    ),
  };
}
