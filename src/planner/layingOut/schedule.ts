// Runs in time: each slitter works through its runs one after the other, by its calendar, from the day of planning;
// a run waits until its rolls are ready. Gives every run its number, minutes, knife moves and first day, and every
// order the day on which its last run ends.
import { setMinutes } from '../../domain/filmMath.ts';
import type { Run, UntimedRun } from '../../domain/plan.ts';
import type { Problem, Slitter } from '../../domain/problem.ts';
import { addDays, daysBetween, type IsoDate, mmToUm } from '../../domain/units.ts';
import { workDays } from '../../domain/workCalendar.ts';
import { type KnifeChange, knifeChange } from './knifeChange.ts';

export interface TimedRun {
  run: Run;
  setupCost: number;
  runningCost: number;
  /** Working minute, from the beginning of the day of planning, at which its first set begins; and minutes of each set. */
  cutsFrom: number;
  minutesPerSet: number;
  /** Working minute at which it ends. */
  endsAt: number;
  /** Day on which it ends; undefined when the problem has no day of planning. */
  endsOn: IsoDate | undefined;
}

/** Stands in for the day of planning where there is none: then nothing is dated. */
const ANY_DAY = '1970-01-01' as IsoDate;
/** A run that ends at midnight ends on the day before. */
const MIDNIGHT = 1e-3;

/** Runs in the given order, timed. `readyOn` tells when the single rolls can be had. */
export function schedule(
  problem: Problem,
  runs: UntimedRun[],
  readyOn: (roll: string) => IsoDate | undefined,
): TimedRun[] {
  const slitters = new Map(problem.slitters.map((slitter) => [slitter.id, slitter]));
  const knives = new Map<string, ReadonlySet<number> | undefined>();
  const clock = new Map<string, number>();
  return runs.map((bare, index) => {
    const slitter = slitters.get(bare.slitter) as Slitter;
    const before = knives.get(slitter.id) ?? (slitter.knivesAtUm && new Set<number>(slitter.knivesAtUm));
    const now = new Set(knivesOf(bare));
    knives.set(slitter.id, now);
    const change = knifeChange(slitter, before, now);
    const minutes = minutesOf(slitter, bare, change);
    const days = workDays(slitter.calendar, problem.planOn ?? ANY_DAY);
    const free = clock.get(slitter.id) ?? slitter.busyMinutes ?? 0;
    const begin = Math.max(free, days.minutesBefore(waitFor(problem, bare, readyOn)));
    const end = begin + minutes.setup + minutes.running;
    clock.set(slitter.id, end);
    const day = (minute: number) => problem.planOn && addDays(problem.planOn, days.dayOf(minute));
    const startsOn = day(begin);
    return {
      run: {
        sequence: index + 1,
        ...bare,
        ...(startsOn ? { startsOn } : {}),
        minutes: minutes.setup + minutes.running,
        knifeMoves: change.moves,
      },
      setupCost: (minutes.setup * slitter.costPerHour) / 60,
      runningCost: (minutes.running * slitter.costPerHour) / 60,
      cutsFrom: begin + minutes.setup,
      minutesPerSet: minutes.running / bare.sets,
      endsAt: end,
      endsOn: day(Math.max(begin, end - MIDNIGHT)),
    };
  });
}

function knivesOf(run: UntimedRun): number[] {
  return [run.trimLeftMm, ...run.strips.map((strip) => strip.toMm)].map(mmToUm);
}

function minutesOf(slitter: Slitter, run: UntimedRun, change: KnifeChange) {
  const perSet = setMinutes({ ...slitter, lengthM: run.lengthM }) + slitter.minutesPerSetChange;
  return { setup: change.minutes, running: run.sets * perSet };
}

/** Days from the day of planning until every roll of the run is there. */
function waitFor(problem: Problem, run: UntimedRun, readyOn: (roll: string) => IsoDate | undefined): number {
  const { planOn } = problem;
  if (!planOn) return 0;
  const days = run.from.map(({ roll }) => {
    const ready = readyOn(roll);
    return ready ? daysBetween(planOn, ready) : 0;
  });
  return Math.max(0, ...days);
}

/** A roll that is cut too late. */
export interface OverdueRoll {
  roll: string;
  useBy: IsoDate;
  /** Day on which the last run that takes it ends. */
  endsOn: IsoDate;
}

/**
 * The rolls that these runs cut after their use-by date: a plan with such rolls must not stand, and what they were to
 * give has to be planned again without them. Base film has its date for the coater, which is not looked at here.
 */
export function overdueRolls(problem: Problem, runs: TimedRun[]): OverdueRoll[] {
  const useBy = useByOf(problem);
  const overdue = new Map<string, OverdueRoll>();
  for (const { run, endsOn } of runs) {
    for (const { roll } of run.from) {
      const day = useBy(roll);
      if (day && endsOn && endsOn > day) overdue.set(roll, { roll, useBy: day, endsOn });
    }
  }
  return [...overdue.values()];
}

/** The use-by date of a single coated roll (id, or id#k of several). */
export function useByOf(problem: Problem): (roll: string) => IsoDate | undefined {
  const dated = new Map(
    problem.rolls.flatMap((roll) => (roll.useBy && roll.kind !== 'base' ? [[roll.id, roll.useBy]] : [])),
  );
  return (name) => dated.get(name) ?? dated.get(name.replace(/#\d+$/, ''));
}
