// The numbers of a plan, counted from its runs: what each order gets, what is left of each roll, where every square
// metre goes, and what it all costs.
import type { CoatingStep, OrderOutcome, PlanCost, Purchase, Stub, Yield } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { addDays, areaM2, daysBetween, mmToM, mmToUm, mToMm, umToMm } from '../../domain/units.ts';
import type { Model, Source } from '../model/model.ts';
import type { Cut } from './runs.ts';
import type { TimedRun } from './schedule.ts';

/** What was taken of one single roll. */
export interface RollUse {
  roll: string;
  source: Source;
  endMm: number;
  /** Metres that went into sets and their tails. */
  inSetsMm: number;
  splices: number;
}

export function rollUses(cuts: Cut[]): RollUse[] {
  const uses = new Map<string, RollUse>();
  for (const { roll, source, startMm, endMm, cutOutMm, splices, usedToMm } of cuts) {
    const use = uses.get(roll) ?? { roll, source, endMm: 0, inSetsMm: 0, splices: 0 };
    use.endMm = Math.max(use.endMm, usedToMm);
    use.inSetsMm += endMm - startMm - cutOutMm;
    use.splices += splices;
    uses.set(roll, use);
  }
  return [...uses.values()];
}

export function stubsOf(uses: RollUse[]): Stub[] {
  return uses
    .filter(({ source, endMm }) => endMm < source.lengthMm)
    .map(({ roll, source, endMm }) => ({
      roll,
      widthMm: umToMm(source.widthUm),
      lengthM: mmToM(source.lengthMm - endMm),
      keep: source.keepsStub(endMm),
    }));
}

/** Base rolls that are coated for this plan, each as far as it is used. */
export function coatingOf(uses: RollUse[]): CoatingStep[] {
  return uses
    .filter(({ source }) => source.coats)
    .map(({ roll, source, endMm }) => ({
      roll,
      product: source.product.id,
      lengthM: mmToM(endMm),
      ...(source.readyOn ? { readyOn: source.readyOn } : {}),
    }));
}

/** What is bought, one line for each width of an offer; `bought`: rolls of each stock item. */
export function purchasesOf(problem: Problem, model: Model, bought: number[]): Purchase[] {
  const { planOn } = problem;
  return model.stock.flatMap(({ bought: roll }, s) => {
    if (!roll || bought[s] === 0) return [];
    const { id, leadTimeDays } = problem.offers[roll.offer];
    const line = { offer: id, widthMm: umToMm(roll.widthUm), rolls: bought[s], kg: bought[s] * roll.kg };
    const dates = planOn && { orderBy: planOn, arrivesOn: addDays(planOn, leadTimeDays) };
    return [{ ...line, cost: bought[s] * roll.cost, ...dates }];
  });
}

/** Each order's outcome, reasons left empty. */
export function outcomesOf(problem: Problem, runs: TimedRun[]): OrderOutcome[] {
  const made = madeByOrder(runs);
  return problem.orders.map((order) => {
    const { planned, readyOn } = made.get(order.id) ?? { planned: 0, readyOn: undefined };
    const lateDays =
      readyOn && order.dueOn ? Math.max(0, daysBetween(order.dueOn, readyOn as typeof order.dueOn)) : 0;
    return {
      id: order.id,
      ordered: order.rolls,
      planned,
      over: Math.max(0, planned - order.rolls),
      short: Math.max(0, order.minRolls - planned),
      ...(readyOn ? { readyOn } : {}),
      lateDays,
      reasons: [],
    };
  });
}

/** Rolls made of each order, and the last day on which any is. */
function madeByOrder(runs: TimedRun[]): Map<string, { planned: number; readyOn: string | undefined }> {
  const made = new Map<string, { planned: number; readyOn: string | undefined }>();
  for (const { run, endsOn } of runs) {
    for (const { order } of run.strips) {
      if (order === undefined) continue;
      const own = made.get(order) ?? { planned: 0, readyOn: undefined };
      own.planned += run.sets;
      if (endsOn && (!own.readyOn || endsOn > own.readyOn)) own.readyOn = endsOn;
      made.set(order, own);
    }
  }
  return made;
}

export function yieldOf(
  problem: Problem,
  runs: TimedRun[],
  uses: RollUse[],
  outcomes: OrderOutcome[],
): Yield {
  const areas = {
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
  outcomes.forEach((outcome, o) => {
    const each = areaM2(problem.orders[o].widthUm, problem.orders[o].lengthMm);
    areas.orderedM2 += (outcome.planned - outcome.over) * each;
    areas.overM2 += outcome.over * each;
  });
  for (const { run } of runs) {
    const per = (widthMm: number) => areaM2(mmToUm(widthMm), mToMm(run.lengthM)) * run.sets;
    for (const strip of run.strips) {
      if (strip.filler !== undefined) areas.fillerM2 += per(strip.toMm - strip.fromMm);
      if (strip.waste) areas.wasteStripM2 += per(strip.toMm - strip.fromMm);
    }
    areas.edgeTrimM2 += per(run.trimLeftMm + run.trimRightMm);
  }
  let keptM2 = 0;
  const sets = setsOfRolls(runs);
  for (const use of uses) {
    const { roll, source, endMm, inSetsMm } = use;
    const { leadInMm } = source.slitter;
    const across = (lengthMm: number) => areaM2(source.widthUm, lengthMm);
    areas.inputM2 += across(source.lossMm + source.lengthMm);
    areas.leadInM2 +=
      across(source.lossMm + leadInMm) + across(source.slitter.tailMm) * (sets.get(roll) ?? 0);
    areas.defectM2 += across(endMm - leadInMm - inSetsMm);
    areas.stubM2 += across(source.lengthMm - endMm);
    if (source.keepsStub(endMm)) keptM2 += across(source.lengthMm - endMm);
  }
  const consumed = areas.inputM2 - keptM2;
  const sold = areas.orderedM2 + areas.overM2 + areas.fillerM2;
  return { ...areas, areaYieldPct: consumed > 0 ? (100 * sold) / consumed : 0 };
}

/** Sets cut from each single roll. */
function setsOfRolls(runs: TimedRun[]): Map<string, number> {
  const cut = new Map<string, number>();
  for (const { run } of runs)
    for (const { roll, sets } of run.from) cut.set(roll, (cut.get(roll) ?? 0) + sets);
  return cut;
}

export function costOf(
  problem: Problem,
  model: Model,
  runs: TimedRun[],
  uses: RollUse[],
  outcomes: OrderOutcome[],
  purchases: Purchase[] = [],
): PlanCost {
  const paid = (use: RollUse) => model.stock[use.source.stock]?.bought?.cost ?? 0;
  const ofRoll = (use: RollUse) => use.source.charge(use.endMm) + use.splices * problem.costs.perSplice;
  const perM2 = shortPerRoll(model);
  const parts = {
    material: uses.reduce((sum, use) => sum + ofRoll(use) - paid(use), 0) - fillerValue(problem, runs),
    setups: runs.reduce((sum, run) => sum + run.setupCost, 0),
    running: runs.reduce((sum, run) => sum + run.runningCost, 0),
    late: lateCost(problem, runs),
    short: outcomes.reduce((sum, outcome, o) => sum + outcome.short * (perM2.get(o) ?? 0), 0),
    purchases: purchases.reduce((sum, purchase) => sum + purchase.cost, 0),
  };
  return { total: Object.values(parts).reduce((sum, part) => sum + part, 0), ...parts };
}

function fillerValue(problem: Problem, runs: TimedRun[]): number {
  return runs.reduce(
    (sum, { run }) =>
      run.strips.reduce(
        (s, strip) =>
          strip.filler === undefined ? s : s + run.sets * problem.fillers[strip.filler].valuePerRoll,
        sum,
      ),
    0,
  );
}

function shortPerRoll(model: Model): Map<number, number> {
  return new Map(
    model.demands.flatMap((demand) => demand.orders.map((order) => [order, demand.shortCostPerRoll])),
  );
}

/** Every roll that ends after its order's due day pays by the day. */
function lateCost(problem: Problem, runs: TimedRun[]): number {
  const due = new Map(problem.orders.map((order) => [order.id, order.dueOn]));
  let rollDays = 0;
  for (const { run, endsOn } of runs) {
    for (const strip of run.strips) {
      const dueOn = strip.order === undefined ? undefined : due.get(strip.order);
      if (dueOn && endsOn) rollDays += run.sets * Math.max(0, daysBetween(dueOn, endsOn));
    }
  }
  return problem.costs.perLateRollDay * rollDays;
}
