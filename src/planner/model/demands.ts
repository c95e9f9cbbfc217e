// What is wanted, merged: orders of equal product, width and finished length are one demand, since their strips are
// interchangeable across the web, unless some film comes in time for one and too late for another; who gets which strip
// is decided when the runs are labelled. Fillers are demands
// that nobody must make and that earn their value.
import type { Problem } from '../../domain/problem.ts';
import { areaM2, um } from '../../domain/units.ts';
import { daysInTime } from './lateness.ts';
import type { Demand } from './model.ts';

/** Demands in a fixed order: product, finished length, width from wide to narrow, orders before fillers. */
export function mergeDemands(problem: Problem, shortPricePerM2: number): Demand[] {
  const merged = new Map<string, Demand>();
  const inTime = daysInTime(problem);
  problem.orders.forEach((order, index) => {
    const key = `${order.product}|${order.widthUm}|${order.lengthMm}|${order.awayFromEdgeUm}|${inTime(order)}`;
    const demand = merged.get(key) ?? emptyDemand(order);
    demand.min += order.minRolls;
    demand.max += order.maxRolls;
    demand.orders.push(index);
    demand.shortCostPerRoll = shortPricePerM2 * areaM2(order.widthUm, order.lengthMm);
    merged.set(key, demand);
  });
  problem.fillers.forEach((filler, index) => {
    const demand = {
      ...emptyDemand({ ...filler, awayFromEdgeUm: um(0) }),
      max: filler.maxRolls,
      filler: index,
    };
    merged.set(`filler|${index}`, { ...demand, valuePerRoll: filler.valuePerRoll });
  });
  return [...merged.values()].sort(byPlaceOnTheWeb);
}

function emptyDemand({
  product,
  widthUm,
  lengthMm,
  awayFromEdgeUm,
}: Pick<Demand, 'product' | 'widthUm' | 'lengthMm' | 'awayFromEdgeUm'>): Demand {
  const nothing = { min: 0, max: 0, orders: [], filler: undefined, shortCostPerRoll: 0, valuePerRoll: 0 };
  return { product, widthUm, lengthMm, awayFromEdgeUm, ...nothing };
}

function byPlaceOnTheWeb(a: Demand, b: Demand): number {
  return (
    (a.product < b.product ? -1 : a.product > b.product ? 1 : 0) ||
    a.lengthMm - b.lengthMm ||
    b.widthUm - a.widthUm ||
    (a.filler ?? -1) - (b.filler ?? -1)
  );
}
