// What a plan costs and what it is short of, as rows of texts. What is paid is told apart from what is missing: the
// planner prices a missing square metre far above any film, and such a sum is no money that anybody pays.
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { areaM2, mmToM, umToMm } from '../../domain/units.ts';
import { grouped } from '../words.ts';
import { money } from './planWords.ts';

export interface NamedAmount {
  name: string;
  amount: string;
  share: string;
}

const inPercent = (share: number) =>
  (share * 100).toLocaleString('en-GB', { minimumFractionDigits: 1, maximumFractionDigits: 1 });

/** Rolls of each catalogue width that fill up patterns, and their value. */
export function fillerRows(plan: Plan, problem: Problem) {
  return problem.fillers.flatMap((filler, index) => {
    const rolls = plan.runs.reduce(
      (sum, run) => sum + run.sets * run.strips.filter((strip) => strip.filler === index).length,
      0,
    );
    if (rolls === 0) return [];
    const value = rolls * filler.valuePerRoll;
    return [
      {
        product: filler.product,
        widthMm: grouped(umToMm(filler.widthUm)),
        lengthM: grouped(mmToM(filler.lengthMm)),
        rolls: grouped(rolls),
        most: grouped(filler.maxRolls),
        each: money(filler.valuePerRoll),
        value,
        words: money(value),
      },
    ];
  });
}

/** What the plan really takes; lines of nothing are left out, except the film. */
export function costRows(plan: Plan, problem: Problem): NamedAmount[] {
  const { cost } = plan;
  const fillers = fillerRows(plan, problem).reduce((sum, row) => sum + row.value, 0);
  const paid = cost.total - cost.short;
  const lines: [string, number][] = [
    ['film and coating, as far as used', cost.material + cost.purchases + fillers],
    ['less the value of fillers', -fillers],
    ['set-ups and knife moves', cost.setups],
    ['running and set changes', cost.running],
    ['being late', cost.late],
  ];
  return lines
    .filter(([, value], index) => index === 0 || Math.abs(value) > 0.005)
    .map(([name, value]) => ({ name, amount: money(value), share: paid > 0 ? inPercent(value / paid) : '' }));
}

/** One row for each order that falls short: rolls and area, and why. */
export function shortRows(plan: Plan, problem: Problem) {
  return plan.orders
    .filter((outcome) => outcome.short > 0)
    .map(({ id, short, reasons }) => {
      const order = problem.orders.find((one) => one.id === id);
      const m2 = order ? short * areaM2(order.widthUm, order.lengthMm) : 0;
      return { id, rolls: grouped(short), m2, area: grouped(m2, 1), why: reasons.join('; ') };
    });
}
