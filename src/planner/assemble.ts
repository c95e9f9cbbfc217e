// The plan document from whole numbers of sets and rolls: knives placed, rolls threaded, strips labelled, runs timed,
// everything counted.
import type { Plan, PlanStopped } from '../domain/plan.ts';
import type { Problem } from '../domain/problem.ts';
import { coatingOf, costOf, outcomesOf, purchasesOf, rollUses, stubsOf, yieldOf } from './figures.ts';
import type { IntegerPlan } from './integerPlan.ts';
import type { Model } from './model.ts';
import { reasonsFor } from './reasons.ts';
import { threadRolls } from './threading.ts';
import { timedRuns } from './timedRuns.ts';

export interface Proof {
  /** Proven lower bound on the cost of any plan. */
  bound: number;
  /** Marginal cost of one roll of each demand. */
  worth: number[];
  outOfTime: boolean;
}

const SAME_COST = 1e-6;

export function assemblePlan(problem: Problem, model: Model, integer: IntegerPlan, proof: Proof): Plan {
  const cuts = threadRolls(problem, model, integer);
  const uses = rollUses(cuts);
  const runs = timedRuns(problem, model, cuts, uses);
  const outcomes = outcomesOf(problem, runs);
  const purchases = purchasesOf(problem, model, integer.bought);
  const cost = costOf(problem, model, runs, uses, outcomes, purchases);
  const slack = SAME_COST * Math.max(1, Math.abs(cost.total));
  const bound = cost.total - proof.bound <= slack ? cost.total : proof.bound;
  const isShort = outcomes.some((outcome) => outcome.short > 0);
  const proved = bound === cost.total;
  return {
    format: 'lanewright-plan/1',
    status: isShort ? 'short' : proved ? 'best' : 'good',
    currency: problem.currency,
    cost,
    bound: { cost: bound, gapPct: gapPct(cost.total, bound) },
    runs: runs.map(({ run }) => run),
    coating: coatingOf(uses),
    purchases,
    orders: outcomes.map((outcome, o) => ({ ...outcome, reasons: reasonsFor(problem, model, outcome, o) })),
    stubs: stubsOf(uses),
    yield: yieldOf(problem, runs, uses, outcomes),
    marginal: model.demands.flatMap((demand, d) =>
      demand.orders.map((order) => ({ order: problem.orders[order].id, costPerRoll: proof.worth[d] })),
    ),
    stopped: stoppedBecause(proved, proof.outOfTime),
  };
}

function gapPct(cost: number, bound: number): number {
  const gap = Math.max(0, cost - bound);
  return cost === 0 ? 100 * gap : (100 * gap) / Math.abs(cost);
}

function stoppedBecause(proved: boolean, outOfTime: boolean): PlanStopped {
  if (proved) return 'proved';
  return outOfTime ? 'time' : 'search-ended';
}
