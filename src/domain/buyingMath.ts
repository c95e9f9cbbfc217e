// When and how much base film to buy: economic order quantity, reorder point, price by area.
// Formulae: Harris 1913 (EOQ, as in any operations-research text); reorder point with uncertain lead time as in
// Wikipedia "Safety stock". Quantities in kg, time in the unit the rates are given in.
import { grammage, M2_PER_MSI } from './filmMath.ts';

interface Buying {
  yearlyKg: number;
  costPerOrder: number;
  holdingPerKgYear: number;
}

/** Economic order quantity in kg: sqrt(2 D S / H). */
export function economicOrderKg({ yearlyKg, costPerOrder, holdingPerKgYear }: Buying): number {
  return Math.sqrt((2 * yearlyKg * costPerOrder) / holdingPerKgYear);
}

/** Yearly cost of ordering and holding when `orderKg` is bought each time. */
export function yearlyOrderingCost(buying: Buying, orderKg: number): number {
  return (buying.yearlyKg / orderKg) * buying.costPerOrder + (orderKg / 2) * buying.holdingPerKgYear;
}

/** Safety stock z sqrt(L s_d^2 + d^2 s_L^2) and reorder point d L + safety stock, in kg. */
export function reorderPoint(use: {
  perWeekKg: number;
  perWeekDeviationKg: number;
  leadWeeks: number;
  leadDeviationWeeks: number;
  serviceFactor: number;
}): { safetyKg: number; reorderKg: number } {
  const variance =
    use.leadWeeks * use.perWeekDeviationKg ** 2 + use.perWeekKg ** 2 * use.leadDeviationWeeks ** 2;
  const safetyKg = use.serviceFactor * Math.sqrt(variance);
  return { safetyKg, reorderKg: use.perWeekKg * use.leadWeeks + safetyKg };
}

/** Price of one m2 and of one MSI (1000 in2) of film sold by the kg. */
export function pricePerArea(
  pricePerKg: number,
  thicknessUm: number,
  densityGPerCm3: number,
): { perM2: number; perMsi: number } {
  const perM2 = (pricePerKg * grammage(thicknessUm, densityGPerCm3)) / 1000;
  return { perM2, perMsi: perM2 * M2_PER_MSI };
}
