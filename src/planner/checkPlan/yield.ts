// Where every square metre goes. Input is the whole area of each used roll (base film: before coating); the parts are
//   orders, over-run, fillers, edge trims, waste strips: width x finished length x sets;
//   lead-in, tails and the coater's loss: over the whole width; stubs: what is left of each roll, kept or not;
//   bad places: the metres passed over or cut out between the sets. They add up to the input.
// The area yield is what is sold or stocked as finished rolls over what is consumed: input less kept stubs.
import type { Yield } from '../../domain/plan.ts';
import { areaM2, mmToUm } from '../../domain/units.ts';
import { plannedRolls } from './demand.ts';
import type { Clause, Facts } from './facts.ts';
import { differ, fault } from './facts.ts';
import { isKept, leftMm } from './rolls.ts';

type Areas = Omit<Yield, 'areaYieldPct'>;

function deriveAreas(facts: Facts): Areas {
  const areas: Areas = {
    inputM2: 0,
    orderedM2: 0,
    overM2: 0,
    fillerM2: 0,
    edgeTrimM2: 0,
    wasteStripM2: 0,
    leadInM2: 0,
    defectM2: 0,
    stubM2: 0,
  };
  addOrders(facts, areas);
  addRuns(facts, areas);
  addRolls(facts, areas);
  return areas;
}

function addOrders(facts: Facts, areas: Areas): void {
  for (const order of facts.problem.orders) {
    const planned = plannedRolls(facts, order);
    const area = areaM2(order.widthUm, order.lengthMm);
    areas.orderedM2 += Math.min(planned, order.rolls) * area;
    areas.overM2 += Math.max(0, planned - order.rolls) * area;
  }
}

function addRuns({ runs }: Facts, areas: Areas): void {
  for (const { run, strips, lengthMm, slitter, widthUm } of runs) {
    for (const strip of strips) {
      const area = areaM2(strip.toUm - strip.fromUm, lengthMm) * run.sets;
      if (strip.filler) areas.fillerM2 += area;
      if (strip.waste) areas.wasteStripM2 += area;
    }
    areas.edgeTrimM2 += areaM2(mmToUm(run.trimLeftMm) + mmToUm(run.trimRightMm), lengthMm) * run.sets;
    areas.leadInM2 += areaM2(widthUm ?? 0, slitter?.tailMm ?? 0) * run.sets;
  }
}

function addRolls({ runs, uses }: Facts, areas: Areas): void {
  const taken = new Map<string, number>();
  for (const { run, slitter, lengthMm } of runs) {
    for (const { roll, sets } of run.from)
      taken.set(roll, (taken.get(roll) ?? 0) + sets * (lengthMm + (slitter?.tailMm ?? 0)));
  }
  for (const [name, use] of uses) {
    const { roll, slitter, endMm } = use;
    const leadMm = slitter?.leadInMm ?? 0;
    areas.inputM2 += roll.inputM2;
    areas.leadInM2 += areaM2(roll.widthUm, leadMm + roll.lossMm);
    areas.stubM2 += areaM2(roll.widthUm, leftMm(use));
    areas.defectM2 += areaM2(roll.widthUm, endMm - leadMm - (taken.get(name) ?? 0));
  }
}

const areas: Clause = (facts) => {
  const expected = deriveAreas(facts);
  return (Object.keys(expected) as (keyof Areas)[])
    .filter((field) => differ(facts.plan.yield[field], expected[field]))
    .map((field) => fault(`yield.${field}`, 'yield-area', expected[field], facts.plan.yield[field]));
};

const addUp: Clause = ({ plan }) => {
  const { inputM2, areaYieldPct: _, ...parts } = plan.yield;
  const sum = Object.values(parts).reduce((total, area) => total + area, 0);
  return differ(inputM2, sum) ? [fault('yield.inputM2', 'yield-adds-up', sum, inputM2)] : [];
};

const areaYield: Clause = (facts) => {
  const { inputM2, orderedM2, overM2, fillerM2 } = deriveAreas(facts);
  const kept = [...facts.uses.values()]
    .filter((use) => isKept(facts, use))
    .reduce((sum, use) => sum + areaM2(use.roll.widthUm, leftMm(use)), 0);
  const consumed = inputM2 - kept;
  const expected = consumed > 0 ? (100 * (orderedM2 + overM2 + fillerM2)) / consumed : 0;
  return differ(facts.plan.yield.areaYieldPct, expected)
    ? [fault('yield.areaYieldPct', 'area-yield', expected, facts.plan.yield.areaYieldPct)]
    : [];
};

export const yieldClauses: Clause[] = [areas, addUp, areaYield];
