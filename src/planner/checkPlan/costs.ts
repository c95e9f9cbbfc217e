// What the plan costs, part by part:
//   material   of each used roll of stock: its cost by the length used; the stub at its share again when it is lost, at
//              holding cost when it is kept; the coating of what is coated; each splice; the value of fillers is taken off, and that of
//              each old stub of which nothing is kept (never more than it costs)
//   setups     set-up of each run and the knives moved for it; running: sets, ramps and set changes; by machine hour
//   late       each roll that is made after its order's due day, by days; short: m2 missing to the least quantity
//   purchases  all rolls bought, whole: what runs leave of one is worth nothing to the plan, and neither is a whole one left

import type { PlanCost } from '../../domain/plan.ts';
import { shortPricePerM2 } from '../../domain/shortPrice.ts';
import { areaM2 } from '../../domain/units.ts';
import { offeredRollKg } from './boughtRolls.ts';
import { lateDays, runDays } from './dates.ts';
import { shortRolls } from './demand.ts';
import type { Clause, Facts, RollUse } from './facts.ts';
import { differ, fault } from './facts.ts';
import { machineTimes } from './machine.ts';
import { isKept, leftMm } from './rolls.ts';

function deriveCost(facts: Facts): PlanCost {
  const times = machineTimes(facts.runs);
  const byHour = (minutes: (time: (typeof times)[number]) => number) =>
    times.reduce(
      (sum, time, at) => sum + (minutes(time) * (facts.runs[at]?.slitter?.costPerHour ?? 0)) / 60,
      0,
    );
  const parts = {
    material: materialCost(facts),
    setups: byHour((time) => time.setupMinutes),
    running: byHour((time) => time.runningMinutes),
    late: lateCost(facts),
    short: shortCost(facts),
    purchases: purchaseCost(facts),
  };
  return { total: Object.values(parts).reduce((sum, part) => sum + part, 0), ...parts };
}

function materialCost(facts: Facts): number {
  const film = [...facts.uses.values()].reduce((sum, use) => sum + filmCost(facts, use), 0);
  const fillers = facts.runs.reduce((sum, { run, strips }) => {
    return sum + run.sets * strips.reduce((value, { filler }) => value + (filler?.valuePerRoll ?? 0), 0);
  }, 0);
  return film - fillers;
}

function filmCost(facts: Facts, use: RollUse): number {
  const { roll, endMm } = use;
  const { perSplice, stubUseUp } = facts.problem.costs;
  const splices = use.blocks.flatMap(({ sets }) => sets).reduce((sum, set) => sum + set.splices, 0);
  const work = roll.coatingCost + splices * perSplice;
  if (roll.bought) return work;
  if (!isKept(facts, use)) return roll.cost - (roll.isStub ? Math.min(stubUseUp, roll.cost) : 0) + work;
  const holding = facts.problem.costs.holdingPerM2 * areaM2(roll.widthUm, leftMm(use));
  return (roll.cost * (roll.lossMm + endMm)) / roll.filmLengthMm + holding + work;
}

function lateCost(facts: Facts): number {
  const days = runDays(facts);
  return facts.runs.reduce((sum, { run, strips }, at) => {
    const late = strips.reduce((total, { order }) => total + lateDays(days[at]?.endsOn, order?.dueOn), 0);
    return sum + facts.problem.costs.perLateRollDay * run.sets * late;
  }, 0);
}

function shortCost(facts: Facts): number {
  const missing = facts.problem.orders.reduce(
    (sum, order) => sum + shortRolls(facts, order) * areaM2(order.widthUm, order.lengthMm),
    0,
  );
  return missing * shortPricePerM2(facts.problem);
}

function purchaseCost({ problem, plan }: Facts): number {
  return plan.purchases.reduce((sum, { offer: id, rolls, widthMm }) => {
    const offer = problem.offers.find((candidate) => candidate.id === id);
    return offer ? sum + rolls * offer.pricePerKg * offeredRollKg(problem, offer, widthMm) : sum;
  }, 0);
}

const costs: Clause = (facts) => {
  const expected = deriveCost(facts);
  return (Object.keys(expected) as (keyof PlanCost)[])
    .filter((field) => differ(facts.plan.cost[field], expected[field]))
    .map((field) => fault(`cost.${field}`, 'cost', expected[field], facts.plan.cost[field]));
};

const machine: Clause = (facts) =>
  machineTimes(facts.runs).flatMap((time, index) => {
    const { run, where } = facts.runs[index]!;
    const minutes = time.setupMinutes + time.runningMinutes;
    const faults =
      run.knifeMoves === time.knifeMoves
        ? []
        : [fault(`${where}.knifeMoves`, 'knife-moves', time.knifeMoves, run.knifeMoves)];
    if (differ(run.minutes, minutes)) faults.push(fault(`${where}.minutes`, 'minutes', minutes, run.minutes));
    return faults;
  });

export const costClauses: Clause[] = [costs, machine];
