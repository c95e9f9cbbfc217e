// Set-ups against everything else: of many plans those that no other beats in both. A set-up is due whenever a knife
// moves, so patterns that place their knives alike on one slitter count once.
import type { IntegerPlan } from './integerPlan.ts';
import type { Model } from './model.ts';
import { placeStrips } from './placeStrips.ts';

/** One plan of the trade-off curve. */
export interface TradeOffPoint {
  /** Distinct patterns: slitter and knife positions. */
  patterns: number;
  plan: IntegerPlan;
}

const SAME = 1e-9;

/** How many different settings of the knives these sets need, on all slitters together. */
export function distinctPatterns(model: Model, sets: IntegerPlan['sets']): number {
  const settings = sets.map(({ pattern }) => {
    const { slitter } = model.sites[pattern.site].place;
    return `${slitter.id}|${placeStrips(model, pattern).knivesUm.join()}`;
  });
  return new Set(settings).size;
}

/** The plans that none has both fewer patterns than and a cost as low: cheapest first, then fewer and fewer patterns. */
export function tradeOff(model: Model, plans: IntegerPlan[]): TradeOffPoint[] {
  const counted = plans.map((plan) => ({ patterns: distinctPatterns(model, plan.sets), plan }));
  counted.sort((a, b) => a.plan.cost - b.plan.cost || a.patterns - b.patterns);
  const points: TradeOffPoint[] = [];
  for (const point of counted) {
    const last = points.at(-1);
    const slack = SAME * Math.max(1, Math.abs(point.plan.cost));
    if (last && point.patterns >= last.patterns) continue;
    if (last && point.plan.cost <= last.plan.cost + slack) points.pop();
    points.push(point);
  }
  return points;
}
