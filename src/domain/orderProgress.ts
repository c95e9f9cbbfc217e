// How far an order is: good rolls made, rolls that released runs have yet to make, and what is left to plan. Tolerance
// is that of the order as it was given, also when only a part of it is left.
import { acceptedRolls, MOST_OVER_PCT } from './filmMath.ts';

export interface Progress {
  /** Good rolls: full finished length, released or dispatched. */
  made: number;
  /** Rolls that released runs have yet to make. */
  coming: number;
  /** What both cover; of what is coming only the expected share of good ones. */
  covered: number;
}

export interface Quantity {
  rolls: number;
  overPct: number;
  underPct: number;
}

/** The status of an order that is neither cancelled nor done. */
export function statusOf(order: Quantity, { made, coming, covered }: Progress): 'open' | 'planned' | 'made' {
  const { minRolls } = acceptedRolls(order.rolls, order.overPct, order.underPct);
  if (made >= order.rolls || (made >= minRolls && coming === 0)) return 'made';
  return covered >= minRolls ? 'planned' : 'open';
}

/** What is left to plan of an order, with the tolerance that is left of its whole; at least one roll. */
export function leftToPlan(order: Quantity, covered: number): Quantity {
  const { rolls: ordered, overPct, underPct } = order;
  if (covered <= 0) return { rolls: ordered, overPct, underPct };
  const { minRolls, maxRolls } = acceptedRolls(ordered, overPct, underPct);
  const rolls = Math.max(1, ordered - covered);
  const most = Math.max(rolls, maxRolls - covered);
  const least = Math.max(0, Math.min(rolls, minRolls - covered));
  return {
    rolls,
    overPct: Math.min(MOST_OVER_PCT, (100 * (most - rolls)) / rolls),
    underPct: (100 * (rolls - least)) / rolls,
  };
}
