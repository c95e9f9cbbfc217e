// Runs with their owners and days. A run counts as done when it ends, so one that goes on past the due day of an order
// or the use-by date of a roll is ended there and begun again: its knives stay, so that costs nothing. Of the ways to
// hand out the strips the one with less lateness is taken, among equals the one with fewer runs.
import type { Problem } from '../../domain/problem.ts';
import { daysBetween } from '../../domain/units.ts';
import type { Model } from '../model/model.ts';
import type { RollUse } from './figures.ts';
import type { LabelStyle } from './labels.ts';
import type { Cut } from './runs.ts';
import { makeRuns } from './runs.ts';
import { overdueRolls, schedule, type TimedRun } from './schedule.ts';
import { isLess } from './sequenceScore.ts';

const STYLES: LabelStyle[] = ['few runs', 'urgent first'];
const ROUNDS = 4;

/** The runs of these cuts, in order, timed. */
export function timedRuns(problem: Problem, model: Model, cuts: Cut[], uses: RollUse[]): TimedRun[] {
  const ready = new Map(uses.map((use) => [use.roll, use.source.readyOn]));
  let best: { runs: TimedRun[]; score: number[] } | undefined;
  for (const style of STYLES) {
    const breaks = new Set<number>();
    for (let round = 0; round < ROUNDS; round++) {
      const runs = schedule(problem, makeRuns(problem, model, cuts, style, breaks), (roll) =>
        ready.get(roll),
      );
      const score = scoreOf(problem, runs);
      if (!best || isLess(score, best.score)) best = { runs, score };
      const known = breaks.size;
      for (const at of breaksNeeded(problem, runs, cuts)) breaks.add(at);
      if (breaks.size === known) break;
    }
    if (best?.score.slice(0, -1).every((part) => part === 0)) break;
  }
  return (best as { runs: TimedRun[] }).runs;
}

/** Overdue rolls, cost of lateness, late days of rush orders and of all, counted by order; then runs. */
function scoreOf(problem: Problem, runs: TimedRun[]): number[] {
  const orders = new Map(problem.orders.map((order) => [order.id, order]));
  const lateDays = new Map<string, number>();
  let lateRollDays = 0;
  for (const { run, endsOn } of runs) {
    for (const strip of run.strips) {
      const dueOn = strip.order === undefined ? undefined : orders.get(strip.order)?.dueOn;
      if (!dueOn || !endsOn || endsOn <= dueOn) continue;
      const late = daysBetween(dueOn, endsOn);
      lateRollDays += run.sets * late;
      lateDays.set(strip.order as string, Math.max(lateDays.get(strip.order as string) ?? 0, late));
    }
  }
  const daysOf = (rush: boolean) =>
    [...lateDays].reduce(
      (sum, [id, late]) => (rush && orders.get(id)?.priority !== 'rush' ? sum : sum + late),
      0,
    );
  const cost = problem.costs.perLateRollDay * lateRollDays;
  return [overdueRolls(problem, runs).length, cost, daysOf(true), daysOf(false), runs.length];
}

function breaksNeeded(problem: Problem, runs: TimedRun[], cuts: Cut[]): number[] {
  const overdue = new Set(overdueRolls(problem, runs).map(({ roll }) => roll));
  const dueOf = new Map(problem.orders.map((order) => [order.id, order.dueOn]));
  const breaks: number[] = [];
  let first = 0;
  for (const timed of runs) {
    const end = first + timed.run.sets;
    for (let at = first + 1; at < end; at++) {
      if (overdue.has(cuts[at - 1].roll) && cuts[at].roll !== cuts[at - 1].roll) breaks.push(at);
    }
    const due = timed.run.strips.map((strip) => strip.order && dueOf.get(strip.order));
    const isLate = due.some((day) => day && timed.endsOn && timed.endsOn > day);
    if (isLate && problem.costs.perLateRollDay > 0)
      breaks.push(...midnights(problem, timed).map((set) => first + set));
    first = end;
  }
  return breaks;
}

/** Sets of a run after which a day ends: cut by day, each set is late by its own day and no more. */
function midnights({ slitters }: Problem, { run, cutsFrom, minutesPerSet }: TimedRun): number[] {
  const minutesPerDay = slitters.find(({ id }) => id === run.slitter)?.calendar.minutesPerDay ?? 1440;
  const sets: number[] = [];
  const dayOf = (minute: number) => Math.floor(Math.max(0, minute - 1e-6) / minutesPerDay);
  for (let set = 1; set < run.sets; set++) {
    const [before, after] = [cutsFrom + set * minutesPerSet, cutsFrom + (set + 1) * minutesPerSet];
    if (dayOf(after) > dayOf(before)) sets.push(set);
  }
  return sets;
}
