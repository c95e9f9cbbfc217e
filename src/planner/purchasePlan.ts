// What to buy of one grade, when, and from whom: a covering program over days of need. Its columns (purchaseColumns.ts)
// are whole orders that an offer allows; branch and bound (purchaseOrders.ts) takes the cheapest of them that cover the
// need, and says what no way to buy can beat. Areas m2, money, days.
import {
  type BuyingCosts,
  type BuyingOffer,
  type Column,
  columnsOf,
  daysOf,
  type NeedOnDay,
  type OrderLine,
} from './purchaseColumns.ts';
import { cheapestOrders, type Found } from './purchaseOrders.ts';

export interface BuyingPlan {
  lines: OrderLine[];
  film: number;
  ordering: number;
  holding: number;
  late: number;
  total: number;
  /** No way to buy costs less than this; equal to `total` when that is proved. */
  bound: number;
  proved: boolean;
}

const NEVER = 1000;

/** Undefined when nothing is needed or no offer is there. */
export function planPurchases(
  needs: readonly NeedOnDay[],
  offers: readonly BuyingOffer[],
  costs: BuyingCosts,
  only: { oneOrder?: boolean } = {},
): BuyingPlan | undefined {
  const days = daysOf(needs, offers);
  const last = days.at(-1);
  if (last === undefined || last.neededM2 <= 0 || offers.length === 0) return undefined;
  const columns = columnsOf(days, offers, costs, only.oneOrder ?? false);
  // By the last day all of it is bought: whatever has not come then costs more than any way of buying it.
  const never = NEVER * Math.max(...columns.map(({ objective, m2 }) => objective / m2));
  const lateCost = days.map(({ day }, d) => {
    const next = days[d + 1]?.day;
    return next === undefined ? never : costs.latePerM2Day * (next - day);
  });
  const found = cheapestOrders({ columns, days, lateCost });
  return asPlan(found, columns, costs);
}

function asPlan(found: Found, columns: readonly Column[], costs: BuyingCosts): BuyingPlan {
  const taken = columns.flatMap((column, j) => Array.from({ length: found.x[j] as number }, () => column));
  const lines = taken.map(({ m2: _m2, objective: _objective, holding: _holding, ...line }) => line);
  return {
    lines: lines.sort((a, b) => a.arrivesDay - b.arrivesDay || a.offer.localeCompare(b.offer)),
    film: taken.reduce((sum, { cost }) => sum + cost, 0),
    ordering: taken.length * costs.perOrder,
    holding: taken.reduce((sum, { holding }) => sum + holding, 0),
    late: found.late,
    total: found.total,
    bound: found.bound,
    proved: found.proved,
  };
}
