// How good a way of cutting is: a list of numbers, smaller is better, the first difference decides. Lateness is counted
// by strip and by calendar day; working minutes run from the beginning of the day of planning.
import type { Job, Work } from './sequenceWork.ts';

/** Smaller is better, the first difference decides: see `NO_SCORE`. */
export type Score = number[];
export const OVERDUE = 0;
export const MONEY = 1;
const RUSH_LATE = 2;
const LATE = 3;
export const HASTE = 4;
export const MOVES = 5;
export const OPEN = 6;
/**
 * Rolls cut after their use-by date; money for set-ups and lateness; late roll-days of rush orders; of all orders;
 * urgent work first (minutes until done, weighted by urgency); knife moves, where they cost nothing; and the most
 * widths part-finished at once, since each takes a place on the floor (minimum open stacks).
 */
export const NO_SCORE: Score = [0, 0, 0, 0, 0, 0, 0];

const MIDNIGHT = 1e-3;
const SAME = 1e-9;

/** Whether the first list is smaller at the first place where the two differ. */
export function isLess(a: number[], b: number[]): boolean {
  for (let i = 0; i < a.length; i++) {
    if (a[i] === b[i]) continue;
    if (!Number.isFinite(a[i] - b[i])) return a[i] < b[i];
    const slack = SAME * Math.max(1, Math.abs(b[i]));
    if (a[i] < b[i] - slack) return true;
    if (a[i] > b[i] + slack) return false;
  }
  return false;
}

/** Day number of a minute; midnight still belongs to the day before. */
export const dayOf = ({ days }: Work, minute: number) => days.dayOf(Math.max(0, minute - MIDNIGHT));

/** Each set is late by its own day: a run that goes on past a due day is split there at no cost. */
export function countLate(
  work: Work,
  next: { clock: number; made: number[]; score: Score },
  job: Job,
  sets: number,
): void {
  const lastDay = dayOf(work, next.clock + sets * job.minutesPerSet);
  for (const { due, strips } of job.gives) {
    const begin = next.made[due];
    const to = begin + strips * sets;
    next.made[due] = to;
    let from = begin;
    let end = 0;
    for (const share of work.dues[due].shares) {
      end += share.strips;
      if (from >= end) continue;
      const upTo = Math.min(end, to);
      if (lastDay > share.day) {
        const own = { from: from - begin, upTo: upTo - begin, strips };
        addLate(work, next.score, lateStripDays(work, job, next.clock, own, share.day, lastDay), share.rush);
      }
      from = upTo;
      if (from >= to) break;
    }
  }
}

/** Days late of strips number `from` to `upTo` of a piece that begins at `clock`, `strips` to each set, together. */
function lateStripDays(
  work: Work,
  { minutesPerSet }: Job,
  clock: number,
  { from, upTo, strips }: { from: number; upTo: number; strips: number },
  dueDay: number,
  lastDay: number,
): number {
  const firstDay = dayOf(work, clock + minutesPerSet);
  let days = Math.max(0, firstDay - dueDay) * (upTo - from);
  for (let day = Math.max(dueDay, firstDay); day < lastDay; day++) {
    const setsInTime = Math.ceil((work.days.minutesBefore(day + 1) + MIDNIGHT - clock) / minutesPerSet) - 1;
    days += Math.max(0, upTo - Math.max(from, setsInTime * strips));
  }
  return days;
}

function addLate(work: Work, score: Score, stripDays: number, rush: boolean): void {
  score[MONEY] += stripDays * work.perLateRollDay;
  score[LATE] += stripDays;
  if (rush) score[RUSH_LATE] += stripDays;
}
