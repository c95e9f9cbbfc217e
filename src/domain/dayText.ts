// A day as people write it in a line: 2027-03-17, 17 Mar, March 17 2027, 17.3., Friday, tomorrow, in 2 weeks. Without a
// year it is the next such day, today included. What could be two days (3/4) is refused, not guessed.
import { addDays, type IsoDate, isIsoDate } from './units.ts';

export type DayReading = { ok: true; day: IsoDate } | { ok: false; wrong: string; right: string };

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
const WEEKDAYS = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];
const FULL_MONTHS =
  'january february march april may june july august september october november december'.split(' ');
const FULL_WEEKDAYS = 'sunday monday tuesday wednesday thursday friday saturday'.split(' ');
export const DAY_RIGHT = 'a day such as 17 Mar, 17 March 2027 or 2027-03-17';
/** A 29 February comes again within so many years. */
const YEARS_TO_LOOK = 8;

/** Reads a day from its text, counted from `today`. */
export function readDay(text: string, today: IsoDate): DayReading {
  const tidy = text.trim().toLowerCase().replace(/\s+/g, ' ').replace(/[.,]$/, '');
  const day = inWords(tidy, today) ?? asDate(tidy, today);
  return day ?? { ok: false, wrong: `"${text.trim()}" is not a day`, right: DAY_RIGHT };
}

function inWords(text: string, today: IsoDate): DayReading | undefined {
  if (text === 'today') return { ok: true, day: today };
  if (text === 'tomorrow') return { ok: true, day: addDays(today, 1) };
  const ahead = /^in (\d{1,3}) (day|days|week|weeks)$/.exec(text);
  if (ahead)
    return { ok: true, day: addDays(today, Number(ahead[1]) * (ahead[2]?.startsWith('week') ? 7 : 1)) };
  const weekday = place(WEEKDAYS, FULL_WEEKDAYS, text);
  if (weekday === -1) return undefined;
  const now = new Date(`${today}T00:00:00Z`).getUTCDay();
  return { ok: true, day: addDays(today, (weekday - now + 7) % 7) };
}

/** Where a name stands in its list, in full or shortened; -1 when it is none. */
function place(short: readonly string[], full: readonly string[], text: string): number {
  const at = full.indexOf(text);
  return at >= 0 ? at : short.indexOf(text === 'sept' ? 'sep' : text);
}

function asDate(text: string, today: IsoDate): DayReading | undefined {
  if (/^\d{4}-\d{1,2}-\d{1,2}$/.test(text)) return exact(text.split('-').map(Number), text);
  if (/^\d{1,2}\/\d{1,2}(\/\d{2,4})?$/.test(text))
    return { ok: false, wrong: `"${text}" could be day/month or month/day`, right: DAY_RIGHT };
  const dotted = /^(\d{1,2})\.\s?(\d{1,2})(?:\.\s?(\d{4})?)?$/.exec(text);
  if (dotted) return dayOf(dotted[3], Number(dotted[2]), Number(dotted[1]), text, today);
  const named =
    /^(?<day>\d{1,2})(?:st|nd|rd|th)?\.? (?<month>[a-z]+)\.?(?:,? (?<year>\d{4}))?$/.exec(text) ??
    /^(?<month>[a-z]+)\.? (?<day>\d{1,2})(?:st|nd|rd|th)?(?:,? (?<year>\d{4}))?$/.exec(text);
  if (!named?.groups) return monthAlone(text);
  const month = place(MONTHS, FULL_MONTHS, named.groups.month as string) + 1;
  return month === 0 ? undefined : dayOf(named.groups.year, month, Number(named.groups.day), text, today);
}

function monthAlone(text: string): DayReading | undefined {
  const month = place(MONTHS, FULL_MONTHS, text.replace(/ \d{4}$/, ''));
  return month === -1 ? undefined : { ok: false, wrong: `"${text}" names no day`, right: DAY_RIGHT };
}

function dayOf(
  year: string | undefined,
  month: number,
  day: number,
  text: string,
  today: IsoDate,
): DayReading {
  if (year !== undefined) return exact([Number(year), month, day], text);
  const first = Number(today.slice(0, 4));
  for (let next = first; next <= first + YEARS_TO_LOOK; next++) {
    const found = exact([next, month, day], text);
    if (found.ok && found.day >= today) return found;
  }
  return exact([first, month, day], text);
}

function exact([year = 0, month = 0, day = 0]: number[], text: string): DayReading {
  const two = (value: number) => String(value).padStart(2, '0');
  const iso = `${year}-${two(month)}-${two(day)}`;
  if (isIsoDate(iso) && iso >= '1970-01-01' && iso <= '2199-12-31') return { ok: true, day: iso };
  return { ok: false, wrong: `there is no day "${text}"`, right: DAY_RIGHT };
}
