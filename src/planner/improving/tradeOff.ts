// Set-ups against everything else: of many plans those that no other beats in both. A set-up is due whenever a knife
// moves, so sets with the same strips on the same web of one slitter count as one pattern.
import type { IntegerPlan } from '../building/integerPlan.ts';
import type { Model, Sets } from '../model/model.ts';
import { knifeKey, setupsCost } from '../model/setups.ts';

/** One plan of the trade-off curve. */
export interface TradeOffPoint {
  /** Distinct patterns: slitter and knife positions. */
  patterns: number;
  plan: IntegerPlan;
}

const SAME = 1e-9;

/** How many different settings of the knives these sets need, on all slitters together. */
export function distinctPatterns(model: Model, sets: Sets): number {
  return new Set(sets.map(({ pattern }) => knifeKey(model, pattern))).size;
}

/** What the plan costs without its set-ups. */
export function costWithoutSetups(model: Model, plan: IntegerPlan): number {
  const patterns = plan.sets.map(({ pattern }) => pattern);
  return plan.cost - setupsCost(model, patterns);
}

/**
 * The plans that none beats in both, number of patterns and cost without set-ups: cheapest first, then fewer and fewer
 * patterns. Of equals the first is kept.
 */
export function tradeOff(model: Model, plans: IntegerPlan[]): TradeOffPoint[] {
  const counted = plans.map((plan) => ({
    point: { patterns: distinctPatterns(model, plan.sets), plan },
    cost: costWithoutSetups(model, plan),
  }));
  counted.sort((a, b) => a.point.patterns - b.point.patterns || a.cost - b.cost);
  let best = Infinity;
  const points = counted.filter(({ cost }) => {
    const better = cost < best - SAME * Math.max(1, Math.abs(cost));
    if (better) best = cost;
    return better;
  });
  return points.map(({ point }) => point).reverse();
}
