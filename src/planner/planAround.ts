// A plan with its locked runs: what is left is planned by itself (locks.ts), then both are put together. Numbers of
// runs come from all runs in their order; numbers of rolls are those of the two parts, and where both take from one
// roll what they share is counted once. The bound is that of what is left and the cost of what is locked.
import { type Plan, type PlanControl, untimed, type Yield } from '../domain/plan.ts';
import type { Problem } from '../domain/problem.ts';
import { shortPricePerM2 } from '../domain/shortPrice.ts';
import { areaM2, mmToUm, mToMm } from '../domain/units.ts';
import { relax } from './bounding/bounding.ts';
import { coatingOf, costOf, outcomesOf, type RollUse, stubsOf, yieldOf } from './layingOut/figures.ts';
import { schedule, type TimedRun } from './layingOut/schedule.ts';
import { buildModel } from './model/buildModel.ts';
import { mergeDemands } from './model/demands.ts';
import { lockedInTime, lockedUses, withoutLocked } from './model/locks.ts';
import { everything } from './model/remaining.ts';
import { planSlitting } from './planSlitting.ts';

const UNHURRIED: PlanControl = { secondsLeft: () => Infinity, report: () => {} };
const SAME_COST = 1e-6;

/** Plans a valid problem around its locked runs and without its excluded rolls. See planSlitting. */
export function planAround(problem: Problem, control: PlanControl = UNHURRIED): Plan {
  if (problem.locks.length + problem.excludeRolls.length === 0) return planSlitting(problem, control);
  const locked = lockedPart(problem);
  const left = withoutLocked(problem);
  const withLocked = (cost: number | null) => (cost === null ? null : cost + locked.cost);
  const { first } = control;
  const plan = planSlitting(left, {
    secondsLeft: control.secondsLeft,
    // what a plan within a number of patterns proves is known only at the end
    ...(first && {
      first: (plan: Plan) =>
        first(putTogether(problem, locked, plan, locked.cost + roughBound(problem, plan))),
    }),
    report: (progress) =>
      control.report({
        ...progress,
        boundCost: withLocked(progress.boundCost),
        bestCost: withLocked(progress.bestCost),
      }),
  });
  return putTogether(problem, locked, plan, locked.cost + boundOf(problem, left, plan, control));
}

/** The locked runs alone, everything else fallen short: to be checked before anything is planned around them. */
export function lockedAlone(problem: Problem): Plan {
  const nothing = { ...withoutLocked(problem), rolls: [], offers: [] };
  return putTogether(problem, lockedPart(problem), planSlitting(nothing), -Infinity);
}

interface LockedPart {
  uses: RollUse[];
  timed: TimedRun[];
  material: number;
  /** Everything that the locked runs cost, lateness included. */
  cost: number;
}

function lockedPart(problem: Problem): LockedPart {
  const uses = lockedUses(problem);
  const timed = lockedInTime(problem, uses);
  const { material, setups, running, late } = costOf(problem, pricesOf(problem), timed, uses, []);
  return { uses, timed, material, cost: material + setups + running + late };
}

const readyDay = (uses: RollUse[], roll: string) => uses.find((use) => use.roll === roll)?.source.readyOn;

/** Of the planner's view of the problem, what prices falling short. */
function pricesOf(problem: Problem) {
  const demands = mergeDemands(problem, shortPricePerM2(problem));
  return { demands, sites: [], stock: [], offers: [], sources: [], refusals: new Map(), costStep: 0 };
}

const roughBound = (problem: Problem, plan: Plan) =>
  problem.maxPatterns === Infinity ? plan.bound.cost : -Infinity;

/** Locked patterns that are used again count twice in what is left, so a bound proved with maxPatterns does not hold. */
function boundOf(problem: Problem, left: Problem, plan: Plan, control: PlanControl): number {
  if (problem.maxPatterns === Infinity || problem.locks.length === 0) return plan.bound.cost;
  const model = buildModel({ ...left, maxPatterns: Infinity });
  return relax(model, everything(model), [], { setups: false, enough: Infinity, control }).bound;
}

function putTogether(problem: Problem, locked: LockedPart, rest: Plan, proven: number): Plan {
  const runs = [...problem.locks, ...rest.runs.map(untimed)];
  const coated = new Map(rest.coating.map((step) => [step.roll, step.readyOn]));
  const stock = new Map(problem.rolls.map((roll) => [roll.id, roll.readyOn]));
  const ready = (roll: string) =>
    readyDay(locked.uses, roll) ??
    coated.get(roll) ??
    stock.get(roll) ??
    stock.get(roll.replace(/#\d+$/, ''));
  const timed = schedule(problem, runs, ready as Parameters<typeof schedule>[2]);
  const outcomes = outcomesOf(problem, timed);
  const all = costOf(problem, pricesOf(problem), timed, [], outcomes);
  const { purchases } = rest.cost;
  const cost = { ...all, material: locked.material + rest.cost.material, purchases, total: 0 };
  cost.total = cost.material + cost.setups + cost.running + cost.late + cost.short + cost.purchases;
  const reasons = new Map(rest.orders.map((order) => [order.id, order.reasons]));
  const stubs = stubsLeft(locked, rest);
  const { alternatives, ...found } = rest;
  return {
    ...found,
    ...proofOf(
      cost.total,
      proven,
      outcomes.some((outcome) => outcome.short > 0),
      rest,
    ),
    cost,
    runs: timed.map(({ run }) => run),
    coating: [...coatingOf(locked.uses), ...rest.coating],
    orders: outcomes.map((outcome) => ({
      ...outcome,
      reasons: because(outcome.short > 0, outcome.lateDays > 0, reasons.get(outcome.id) ?? []),
    })),
    stubs,
    yield: yieldTogether(problem, locked, rest, timed, stubs),
    ...(alternatives && {
      alternatives: alternatives.map((other) => putTogether(problem, locked, other, proven)),
    }),
  };
}

function because(short: boolean, late: boolean, known: string[]): string[] {
  if (known.length > 0) return short || late ? known : [];
  if (short) return ['what the kept runs leave of the rolls is not enough'];
  return late ? ['the kept runs come first on its slitter'] : [];
}

function proofOf(total: number, proven: number, short: boolean, rest: Plan) {
  const proved = total - proven <= SAME_COST * Math.max(1, Math.abs(total));
  const bound = proved ? total : Math.max(proven, -1e12);
  const gap = Math.max(0, total - bound);
  return {
    status: short ? ('short' as const) : proved ? ('best' as const) : ('good' as const),
    bound: { cost: bound, gapPct: total === 0 ? 100 * gap : (100 * gap) / Math.abs(total) },
    stopped: proved
      ? ('proved' as const)
      : rest.stopped === 'time'
        ? ('time' as const)
        : ('search-ended' as const),
  };
}

/** A roll that both parts use is left as the second part leaves it. */
function stubsLeft(locked: LockedPart, rest: Plan): Plan['stubs'] {
  const used = usedBy(rest);
  return [...stubsOf(locked.uses).filter(({ roll }) => !used.has(roll)), ...rest.stubs];
}

const usedBy = (plan: Plan) => new Set(plan.runs.flatMap((run) => run.from.map(({ roll }) => roll)));

function yieldTogether(
  problem: Problem,
  locked: LockedPart,
  rest: Plan,
  timed: TimedRun[],
  stubs: Plan['stubs'],
): Yield {
  const ofRuns = yieldOf(problem, timed, [], outcomesOf(problem, timed));
  const first = yieldOf(problem, locked.timed, locked.uses, outcomesOf(problem, locked.timed));
  const areas = {
    ...ofRuns,
    inputM2: first.inputM2 + rest.yield.inputM2,
    leadInM2: first.leadInM2 + rest.yield.leadInM2,
    defectM2: first.defectM2 + rest.yield.defectM2,
    stubM2: first.stubM2 + rest.yield.stubM2,
  };
  const again = usedBy(rest);
  for (const { roll, source, endMm } of locked.uses) {
    if (!again.has(roll)) continue;
    // Both parts counted the whole roll: its area, its lead-in, and as passed over or left what the other takes.
    const across = (lengthMm: number) => areaM2(source.widthUm, lengthMm);
    const { leadInMm } = source.slitter;
    areas.inputM2 -= across(source.lossMm + source.lengthMm);
    areas.leadInM2 -= across(source.lossMm + leadInMm);
    areas.defectM2 -= across(endMm - leadInMm);
    areas.stubM2 -= across(source.lengthMm - endMm);
  }
  const kept = stubs
    .filter((stub) => stub.keep)
    .reduce((sum, stub) => sum + areaM2(mmToUm(stub.widthMm), mToMm(stub.lengthM)), 0);
  const consumed = areas.inputM2 - kept;
  const sold = areas.orderedM2 + areas.overM2 + areas.fillerM2;
  return { ...areas, areaYieldPct: consumed > 0 ? (100 * sold) / consumed : 0 };
}
