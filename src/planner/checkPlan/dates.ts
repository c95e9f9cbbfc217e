// Days: when each run starts and ends, whether its rolls are ready and still good, and which orders come late.
// A slitter works one run at a time, in the hours and on the days of its calendar; an order is ready on the day on which its last run ends.
import type { IsoDate } from '../../domain/units.ts';
import { addDays, daysBetween } from '../../domain/units.ts';
import { ROUND_THE_CLOCK, type WorkDays, workDays } from '../../domain/workCalendar.ts';
import type { Clause, Facts, PlanFault } from './facts.ts';
import { fault } from './facts.ts';
import { machineTimes } from './machine.ts';

const DAY_ZERO = '1970-01-01' as IsoDate;
/** Minutes that the rounding of thousands of sums may move midnight by. */
const A_MOMENT = 1e-3;

interface RunDays {
  startsOn: IsoDate | undefined;
  endsOn: IsoDate | undefined;
  /** First day on which the slitter is free for it. */
  freeOn: IsoDate | undefined;
}

/** The days of every run, as far as the plan dates them. */
export function runDays({ runs }: Facts): RunDays[] {
  const times = machineTimes(runs);
  const clocks = new Map<string, number>();
  return runs.map(({ run, slitter }, index) => {
    const startsOn = run.startsOn as IsoDate | undefined;
    if (!startsOn) return { startsOn, endsOn: undefined, freeOn: undefined };
    const clock = clocks.get(run.slitter);
    const days = workDays(slitter?.calendar ?? ROUND_THE_CLOCK, DAY_ZERO);
    const begin = Math.max(clock ?? 0, days.minutesBefore(daysBetween(DAY_ZERO, startsOn)));
    const time = times[index]!;
    const end = begin + time.setupMinutes + time.runningMinutes;
    clocks.set(run.slitter, end);
    // A run that ends at midnight ends on the day before.
    const endsOn = dayOf(days, Math.max(begin, end - A_MOMENT));
    return { startsOn, endsOn, freeOn: clock === undefined ? undefined : dayOf(days, clock - A_MOMENT) };
  });
}

function dayOf(days: WorkDays, minute: number): IsoDate {
  return addDays(DAY_ZERO, days.dayOf(minute));
}

const starts: Clause = (facts) => {
  const { planOn } = facts.problem;
  return runDays(facts).flatMap(({ startsOn, freeOn }, index) => {
    const where = `runs[${index}].startsOn`;
    if (!startsOn) return planOn ? [fault(where, 'starts-on', `a day from ${planOn} on`, 'none')] : [];
    const faults: PlanFault[] = [];
    if (planOn && startsOn < planOn) faults.push(fault(where, 'starts-on', `${planOn} or later`, startsOn));
    if (facts.runs[index]?.slitter?.calendar.closedOn.includes(startsOn))
      faults.push(fault(where, 'slitter-open', 'a day on which the slitter works', startsOn));
    if (freeOn && startsOn < freeOn)
      faults.push(fault(where, 'slitter-free', `${freeOn} or later`, startsOn));
    return faults;
  });
};

const rollDates: Clause = (facts) =>
  runDays(facts).flatMap(({ startsOn, endsOn }, index) =>
    (facts.runs[index]?.blocks ?? []).flatMap(({ where, roll }) => {
      if (!startsOn || !endsOn || !roll) return [];
      const faults: PlanFault[] = [];
      if (roll.readyOn && startsOn < roll.readyOn)
        faults.push(fault(where, 'roll-ready', `${roll.readyOn} or later`, startsOn));
      if (roll.useBy && endsOn > roll.useBy)
        faults.push(fault(where, 'roll-use-by', `by ${roll.useBy}`, endsOn));
      return faults;
    }),
  );

const orderDates: Clause = (facts) => {
  const days = runDays(facts);
  const orders = new Map(facts.problem.orders.map((order) => [order.id, order]));
  const endsOf = new Map<string, (IsoDate | undefined)[]>();
  facts.runs.forEach(({ strips }, at) => {
    for (const id of new Set(strips.map(({ order }) => order?.id))) {
      if (id !== undefined) endsOf.set(id, [...(endsOf.get(id) ?? []), days[at]?.endsOn]);
    }
  });
  return facts.plan.orders.flatMap((outcome, index) => {
    const order = orders.get(outcome.id);
    if (!order) return [];
    const ends = endsOf.get(order.id) ?? [];
    const ready = ends.length && ends.every((end) => end !== undefined) ? ends.sort().at(-1) : undefined;
    const late = lateDays(ready, order.dueOn);
    const faults: PlanFault[] = [];
    if (outcome.readyOn !== ready)
      faults.push(fault(`orders[${index}].readyOn`, 'order-ready', ready ?? 'no day', outcome.readyOn));
    if (outcome.lateDays !== late)
      faults.push(fault(`orders[${index}].lateDays`, 'late-days', late, outcome.lateDays));
    return faults;
  });
};

export function lateDays(endsOn: IsoDate | undefined, dueOn: IsoDate | undefined): number {
  return endsOn && dueOn ? Math.max(0, daysBetween(dueOn, endsOn)) : 0;
}

export const dateClauses: Clause[] = [starts, rollDates, orderDates];
