// The figures beside a proposal: economic order quantity, safety stock and reorder point of one grade, from the weeks ahead.
// They check the proposal, they do not make it: needs that come in lumps are not the even use that the formulae assume.
import { economicOrderKg, reorderPoint, yearlyOrderingCost } from './buyingMath.ts';

/** Two-sided names of z: the share of replenishment cycles without running out, and its factor (normal law). */
export const SERVICE_LEVELS: Readonly<Record<string, number>> = {
  '90': 1.282,
  '95': 1.645,
  '97.5': 1.96,
  '99': 2.326,
};

const WEEKS_A_YEAR = 52;

export interface BuyingFigures {
  yearlyKg: number;
  perWeekKg: number;
  perWeekDeviationKg: number;
  holdingPerKgYear: number;
  leadWeeks: number;
  leadDeviationWeeks: number;
  serviceFactor: number;
  economicKg: number;
  economicCost: number;
  safetyKg: number;
  reorderKg: number;
}

/** Undefined when nothing is used in these weeks. */
export function buyingFigures(given: {
  weeklyKg: readonly number[];
  costPerOrder: number;
  holdingShare: number;
  pricePerKg: number;
  leadDays: number;
  leadSpreadDays: number;
  serviceFactor: number;
}): BuyingFigures | undefined {
  const { weeklyKg, costPerOrder, serviceFactor } = given;
  const perWeekKg = weeklyKg.reduce((a, b) => a + b, 0) / Math.max(1, weeklyKg.length);
  if (perWeekKg <= 0) return undefined;
  const squares = weeklyKg.reduce((sum, kg) => sum + (kg - perWeekKg) ** 2, 0);
  const perWeekDeviationKg = Math.sqrt(squares / Math.max(1, weeklyKg.length - 1));
  const buying = {
    yearlyKg: perWeekKg * WEEKS_A_YEAR,
    costPerOrder,
    holdingPerKgYear: given.holdingShare * given.pricePerKg,
  };
  const leadWeeks = given.leadDays / 7;
  const leadDeviationWeeks = given.leadSpreadDays / 7;
  const use = { perWeekKg, perWeekDeviationKg, leadWeeks, leadDeviationWeeks, serviceFactor };
  const economicKg = economicOrderKg(buying);
  return {
    ...buying,
    ...use,
    economicKg,
    economicCost: yearlyOrderingCost(buying, economicKg),
    ...reorderPoint(use),
  };
}
