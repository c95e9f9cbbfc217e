// Lateness that no order of runs can avoid: a set ends no sooner than its roll is there (arrived, coated) and one set is
// run, by the slitter's calendar. It is priced per strip wherever sets are cut, so that bound, dives and integer programs
// weigh a late source against one in time; what waiting in line adds is known only once runs are in order.
import { setMinutes } from '../../domain/filmMath.ts';
import type { Order, Problem, Product, StockRoll } from '../../domain/problem.ts';
import { addDays, daysBetween, type IsoDate, mmToM } from '../../domain/units.ts';
import { workDays } from '../../domain/workCalendar.ts';
import type { Place } from '../patternRules/rule.ts';
import type { Demand } from './model.ts';

const MIDNIGHT = 1e-3;

/** First day on which a roll can be slit, coating included; undefined when the problem has no dates. */
export function readyDay(
  { planOn }: Problem,
  rollReadyOn: IsoDate | undefined,
  leadDays: number,
): IsoDate | undefined {
  const start = rollReadyOn && (!planOn || rollReadyOn > planOn) ? rollReadyOn : planOn;
  return start && addDays(start, leadDays);
}

/** What a strip of a demand costs by lateness when it is cut at this place from a roll that is ready on this day. */
export type LateCost = (place: Place, readyOn: IsoDate | undefined, demand: Demand) => number;

/** Of a demand's orders the one that bears the day best counts: a strip may always be meant for that one. */
export function lateCostOf(problem: Problem): LateCost {
  const { orders, costs } = problem;
  return (place, readyOn, demand) => {
    const dues = demand.orders.filter((o) => orders[o].maxRolls > 0).map((o) => orders[o].dueOn);
    if (costs.perLateRollDay === 0 || dues.length === 0) return 0;
    const end = earliestEnd(problem, place, readyOn);
    const days = dues.map((dueOn) => (end && dueOn ? Math.max(0, daysBetween(dueOn, end)) : 0));
    return costs.perLateRollDay * Math.min(...days);
  };
}

function earliestEnd(
  { planOn }: Problem,
  { slitter, lengthMm }: Place,
  readyOn: IsoDate | undefined,
): IsoDate | undefined {
  if (!planOn) return undefined;
  const days = workDays(slitter.calendar, planOn);
  const ready = days.minutesBefore(readyOn ? Math.max(0, daysBetween(planOn, readyOn)) : 0);
  const begin = Math.max(slitter.busyMinutes ?? 0, ready);
  const oneSet = setMinutes({ ...slitter, lengthM: mmToM(lengthMm) }) + slitter.minutesPerSetChange;
  return addDays(planOn, days.dayOf(Math.max(begin, begin + oneSet - MIDNIGHT)));
}

/**
 * How many of the days on which film for its product becomes ready are in time for an order. Orders of one width for
 * which this differs are told apart, since not every source serves them alike; 0 where lateness costs nothing.
 */
export function daysInTime(problem: Problem): (order: Order) => number {
  if (problem.costs.perLateRollDay === 0 || !problem.planOn) return () => 0;
  const known = new Map(problem.products.map((product) => [product.id, readyDays(problem, product)]));
  return ({ product, dueOn }) =>
    (known.get(product) ?? []).filter((day) => dueOn === undefined || day <= dueOn).length;
}

function readyDays(problem: Problem, { id, coating }: Product): IsoDate[] {
  const ofGrade = (grade: string) => coating?.grades.includes(grade);
  const lead = coating?.leadDays ?? 0;
  const serves = ({ kind, item }: StockRoll) => (kind === 'base' ? ofGrade(item) : item === id);
  const stock = problem.rolls
    .filter(serves)
    .map(({ kind, readyOn }) => readyDay(problem, readyOn, kind === 'base' ? lead : 0));
  const bought = problem.offers
    .filter(({ grade }) => ofGrade(grade))
    .map(({ leadTimeDays }) => problem.planOn && addDays(problem.planOn, leadTimeDays + lead));
  return [...new Set([...stock, ...bought])].filter((day) => day !== undefined);
}
