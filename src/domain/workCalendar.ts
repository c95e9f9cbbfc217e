// The working time of a machine: so many minutes on each day, none on closed days; work stops at the end of a day and
// goes on where it stopped on the next open one. Counted in working minutes from the beginning of a first day, so that
// clocks add up; days are numbered from that day. Round the clock a day has 1440 minutes.
import { daysBetween, type IsoDate } from './units.ts';

export interface WorkCalendar {
  /** Above 0, at most 1440. */
  minutesPerDay: number;
  closedOn: IsoDate[];
}

export const ROUND_THE_CLOCK: WorkCalendar = { minutesPerDay: 1440, closedOn: [] };

/** A calendar seen from a first day. */
export interface WorkDays {
  /** Working minutes before the beginning of this day. */
  minutesBefore(day: number): number;
  /** The day on which this minute is worked. */
  dayOf(minute: number): number;
}

export function workDays({ minutesPerDay, closedOn }: WorkCalendar, firstDay: IsoDate): WorkDays {
  const numbers = closedOn.map((date) => daysBetween(firstDay, date)).filter((day) => day >= 0);
  const closed = [...new Set(numbers)].sort((a, b) => a - b);
  return {
    minutesBefore: (day) => (day - closed.filter((other) => other < day).length) * minutesPerDay,
    dayOf: (minute) => {
      let day = Math.floor(minute / minutesPerDay);
      for (const other of closed) if (other <= day) day++;
      return day;
    },
  };
}
