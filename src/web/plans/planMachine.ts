// What a plan asks of each slitter: runs, set-ups, knife moves, hours, and the load of each day by its calendar. A run
// begins where the one before ended, or at the beginning of its first day when it had to wait for its rolls.
import type { Plan, Run } from '../../domain/plan.ts';
import { knifeMovesOf, setUpsOf } from '../../domain/planCounts.ts';
import type { Problem, Slitter } from '../../domain/problem.ts';
import { addDays, daysBetween, type IsoDate } from '../../domain/units.ts';
import { ROUND_THE_CLOCK, workDays } from '../../domain/workCalendar.ts';
import { grouped } from '../words.ts';

/** A slitter with more days of work than this shows the first ones. */
const MOST_DAYS = 21;
export const BAR_WIDTH = 240;

interface DayLoad {
  day: string;
  minutes: number;
}

/** One entry for each slitter that has work. */
export function machineTimes(plan: Plan, problem: Problem) {
  const names = [...new Set(plan.runs.map((run) => run.slitter))].sort();
  return names.map((id) => {
    const runs = plan.runs.filter((run) => run.slitter === id).sort((a, b) => a.sequence - b.sequence);
    const own = { ...plan, runs };
    const minutes = runs.reduce((sum, run) => sum + run.minutes, 0);
    const slitter = problem.slitters.find((one) => one.id === id);
    const days = loadByDay(runs, slitter, problem.planOn);
    const capacity = slitter?.calendar.minutesPerDay ?? ROUND_THE_CLOCK.minutesPerDay;
    return {
      id,
      runs: grouped(runs.length),
      setUps: grouped(setUpsOf(own)),
      knifeMoves: grouped(knifeMovesOf(own)),
      minutes: grouped(minutes, 0),
      hours: grouped(minutes / 60, 1),
      first: days[0]?.day ?? '',
      last: days.at(-1)?.day ?? '',
      hoursPerDay: grouped(capacity / 60, 1),
      days: days.slice(0, MOST_DAYS).map((load) => barOf(load, capacity)),
      moreDays: Math.max(0, days.length - MOST_DAYS),
    };
  });
}

function barOf({ day, minutes }: DayLoad, capacity: number) {
  return {
    day,
    minutes: grouped(minutes, 0),
    share: grouped((100 * minutes) / capacity, 0),
    width: Math.min(BAR_WIDTH, Math.max(1, (BAR_WIDTH * minutes) / capacity)),
  };
}

/** Minutes worked on each day; empty when the plan has no dates. Days without work are left out. */
export function loadByDay(runs: readonly Run[], slitter: Slitter | undefined, planOn?: IsoDate): DayLoad[] {
  const calendar = slitter?.calendar ?? ROUND_THE_CLOCK;
  if (planOn === undefined || runs.some((run) => run.startsOn === undefined)) return [];
  const days = workDays(calendar, planOn);
  const load = new Map<number, number>();
  let clock = 0;
  for (const run of runs) {
    const begin = Math.max(clock, days.minutesBefore(daysBetween(planOn, run.startsOn as IsoDate)));
    clock = begin + run.minutes;
    for (let at = begin; at < clock - 1e-6; ) {
      const day = days.dayOf(at + 1e-6);
      const end = Math.min(
        clock,
        (Math.floor((at + 1e-6) / calendar.minutesPerDay) + 1) * calendar.minutesPerDay,
      );
      load.set(day, (load.get(day) ?? 0) + end - at);
      at = end;
    }
  }
  return [...load]
    .sort(([a], [b]) => a - b)
    .map(([day, minutes]) => ({ day: addDays(planOn, day), minutes }));
}
