// Weeks as plants count them: from Monday, each named by its Monday.
import { addDays, type IsoDate } from './units.ts';

/** The Monday of the week in which a day lies. */
export function mondayOf(day: IsoDate): IsoDate {
  const sinceMonday = (new Date(Date.parse(day)).getUTCDay() + 6) % 7;
  return addDays(day, -sinceMonday);
}

/** The Mondays of so many weeks, from the week of `day` on. */
export const weeksFrom = (day: IsoDate, weeks: number): IsoDate[] =>
  Array.from({ length: weeks }, (_, i) => addDays(mondayOf(day), 7 * i));
