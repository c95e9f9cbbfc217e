// The working time of a machine: so many minutes on each day, none on closed days; work stops at the end of a day and
// goes on where it stopped on the next open one. Counted in working minutes from the beginning of a first day, so that
// clocks add up; days are numbered from that day. Round the clock a day has 1440 minutes. Of single days some minutes may
// be taken by other work; what is left of such a day is a shorter one.
import { daysBetween, type IsoDate } from './units.ts';

export interface WorkCalendar {
  /** Above 0, at most 1440. */
  minutesPerDay: number;
  closedOn: IsoDate[];
  /** Minutes of single days that other work takes. */
  taken?: { on: IsoDate; minutes: number }[];
}

export const ROUND_THE_CLOCK: WorkCalendar = { minutesPerDay: 1440, closedOn: [] };

/** A calendar seen from a first day. */
export interface WorkDays {
  /** Working minutes before the beginning of this day. */
  minutesBefore(day: number): number;
  /** The day on which this minute is worked. */
  dayOf(minute: number): number;
}

const seen = new WeakMap<WorkCalendar, Map<IsoDate, WorkDays>>();

/** The same calendar from the same day is counted through once: plans ask for it with every run. */
export function workDays(calendar: WorkCalendar, firstDay: IsoDate): WorkDays {
  const from = seen.get(calendar) ?? new Map<IsoDate, WorkDays>();
  seen.set(calendar, from);
  const days = from.get(firstDay) ?? countDays(calendar, firstDay);
  from.set(firstDay, days);
  return days;
}

function countDays(calendar: WorkCalendar, firstDay: IsoDate): WorkDays {
  const { minutesPerDay } = calendar;
  const shorter = shorterDays(calendar, firstDay);
  return {
    minutesBefore: (day) =>
      shorter
        .filter((other) => other.day < day)
        .reduce((minutes, other) => minutes - (minutesPerDay - other.minutes), day * minutesPerDay),
    dayOf: (minute) => {
      let before = 0;
      let next = 0;
      for (const { day, minutes } of shorter) {
        const whole = before + (day - next) * minutesPerDay;
        if (minute < whole) break;
        if (minute < whole + minutes) return day;
        before = whole + minutes;
        next = day + 1;
      }
      return next + Math.floor((minute - before) / minutesPerDay);
    },
  };
}

/** Days with fewer minutes than usual, in their order: closed ones have none. */
function shorterDays({ minutesPerDay, closedOn, taken = [] }: WorkCalendar, firstDay: IsoDate) {
  const left = new Map<number, number>();
  for (const { on, minutes } of taken) {
    const day = daysBetween(firstDay, on);
    left.set(day, Math.max(0, (left.get(day) ?? minutesPerDay) - minutes));
  }
  for (const date of closedOn) left.set(daysBetween(firstDay, date), 0);
  return [...left]
    .map(([day, minutes]) => ({ day, minutes }))
    .filter(({ day }) => day >= 0)
    .sort((a, b) => a.day - b.day);
}
