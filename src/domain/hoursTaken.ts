// Hours of a slitter that work outside of a problem takes, day by day. Work that is at the machine comes first; work that
// is due by a day is put as late as its day allows, so that as much as can be is free before it; what does not fit by its
// day takes the next minutes that are free. With all of it in place, whatever fits into the rest delays nobody.
import { addDays, daysBetween, type IsoDate } from './units.ts';
import { type WorkCalendar, workDays } from './workCalendar.ts';

export interface Work {
  minutes: number;
  /** The day on which it is to be done; `now`: it comes before everything else. */
  by: IsoDate | 'now';
}

type Taken = NonNullable<WorkCalendar['taken']>;

/** Whole minutes taken of each day from `today` on, in the order of days. */
export function takenDays(calendar: WorkCalendar, today: IsoDate, work: readonly Work[]): Taken {
  const taken = new Map<number, number>();
  const closed = new Set(calendar.closedOn.map((day) => daysBetween(today, day)));
  const take = (day: number, minutes: number): number => {
    const free = closed.has(day) ? 0 : calendar.minutesPerDay - (taken.get(day) ?? 0);
    const here = Math.min(free, minutes);
    if (here > 0) taken.set(day, (taken.get(day) ?? 0) + here);
    return minutes - here;
  };
  const forward = (first: number, minutes: number) => {
    let left = minutes;
    for (let day = first; left > 0; day++) left = take(day, left);
  };
  for (const { minutes, by } of work) if (by === 'now') forward(0, minutes);
  const due = work.flatMap(({ minutes, by }) =>
    by === 'now' ? [] : [{ minutes, day: Math.max(0, daysBetween(today, by)) }],
  );
  for (const { minutes, day: last } of due.sort((a, b) => b.day - a.day)) {
    let left = minutes;
    for (let day = last; day >= 0 && left > 0; day--) left = take(day, left);
    if (left > 0) forward(last + 1, left);
  }
  return [...taken]
    .sort(([a], [b]) => a - b)
    .map(([day, minutes]) => ({ on: addDays(today, day), minutes: Math.ceil(minutes) }));
}

/** Minutes from the beginning of `from` to the end of `to`: by the calendar, and those of them that are taken. */
export function minutesUntil(calendar: WorkCalendar, from: IsoDate, to: IsoDate) {
  const days = daysBetween(from, to) + 1;
  const { taken, ...open } = calendar;
  const all = workDays(open, from).minutesBefore(days);
  return { all, taken: all - workDays(calendar, from).minutesBefore(days) };
}
