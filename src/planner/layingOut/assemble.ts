// The plan document from whole numbers of sets and rolls: knives placed, rolls threaded, strips labelled, runs timed,
// everything counted.
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import type { Model } from '../model/model.ts';
import { fewerBegun } from './fewerBegun.ts';
import { coatingOf, costOf, outcomesOf, purchasesOf, rollUses, stubsOf, yieldOf } from './figures.ts';
import { olderFirst } from './olderFirst.ts';
import { reasonsFor, rollsByOrder } from './reasons.ts';
import { overdueRolls } from './schedule.ts';
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

export interface Assembled {
  plan: Plan;
  /** Single rolls that a run cuts after their use-by day: the plan cannot stand. */
  overdue: string[];
}

export function assemblePlan(problem: Problem, model: Model, integer: IntegerPlan, proof: Proof): Assembled {
  const cuts = threadRolls(problem, model, olderFirst(model, fewerBegun(model, integer)));
  const uses = rollUses(cuts);
  const runs = timedRuns(problem, model, cuts, uses);
  const outcomes = outcomesOf(problem, runs);
  const purchases = purchasesOf(problem, model, integer.bought);
  const cost = costOf(problem, model, runs, uses, outcomes, purchases);
  const planRuns = runs.map(({ run }) => run);
  const made = { runs: planRuns, purchases, rollsOf: rollsByOrder(planRuns), outOfTime: proof.outOfTime };
  const isShort = outcomes.some((outcome) => outcome.short > 0);
  const bare: Plan = {
    format: 'lanewright-plan/1',
    status: isShort ? 'short' : 'good',
    currency: problem.currency,
    cost,
    bound: { cost: proof.bound, gapPct: 0 },
    runs: made.runs,
    coating: coatingOf(uses),
    purchases,
    orders: outcomes.map((outcome, o) => ({
      ...outcome,
      reasons: reasonsFor(problem, model, outcome, o, made),
    })),
    stubs: stubsOf(uses),
    yield: yieldOf(problem, runs, uses, outcomes),
    marginal: model.demands.flatMap((demand, d) =>
      demand.orders.map((order) => ({ order: problem.orders[order].id, costPerRoll: proof.worth[d] })),
    ),
    stopped: proof.outOfTime ? 'time' : 'search-ended',
  };
  return {
    plan: withBound(bare, proof.bound),
    overdue: overdueRolls(problem, runs).map(({ roll }) => roll),
  };
}

/** The plan with this bound, and what follows from it: gap, status, why it stopped. */
export function withBound(plan: Plan, proven: number): Plan {
  const { total } = plan.cost;
  const bound = total - proven <= SAME_COST * Math.max(1, Math.abs(total)) ? total : proven;
  const proved = bound === total;
  const stopped = proved ? 'proved' : plan.stopped === 'proved' ? 'search-ended' : plan.stopped;
  const status = plan.status === 'short' ? 'short' : proved ? 'best' : 'good';
  return { ...plan, status, bound: { cost: bound, gapPct: gapPct(total, bound) }, stopped };
}

function gapPct(cost: number, bound: number): number {
  const gap = Math.max(0, cost - bound);
  return cost === 0 ? 100 * gap : (100 * gap) / Math.abs(cost);
}
