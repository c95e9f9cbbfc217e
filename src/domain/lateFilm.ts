// Which needs of film a late delivery leaves open: those up to the day on which it is expected that stock and the other
// deliveries do not cover. What was needed before the day wanted waits for it all the same. Areas m2.
import type { IsoDate } from './units.ts';

interface NeedOfOrder {
  needOn: IsoDate;
  areaM2: number;
}

interface Delivery {
  day: IsoDate;
  areaM2: number;
}

/** Needs are met in the order of their days; `expected` undefined: nobody knows when it comes. */
export function leftOpen<Need extends NeedOfOrder>(given: {
  needs: readonly Need[];
  stockM2: number;
  /** Everything else that is on the way. */
  others: readonly Delivery[];
  late: { expectedOn: IsoDate | undefined; areaM2: number };
}): Need[] {
  const { late, others } = given;
  const arrivedBy = (day: IsoDate): number =>
    others.reduce((m2, one) => (one.day <= day ? m2 + one.areaM2 : m2), given.stockM2);
  let asked = 0;
  return [...given.needs]
    .sort((a, b) => a.needOn.localeCompare(b.needOn))
    .filter((need) => {
      const before = asked;
      asked += need.areaM2;
      const waits = late.expectedOn === undefined || need.needOn < late.expectedOn;
      const missing = asked - arrivedBy(need.needOn) > 1e-6;
      // What it could not have covered, had it come in time, is not for this delivery to answer.
      const within = before < arrivedBy(need.needOn) + late.areaM2 - 1e-6;
      return waits && missing && within;
    });
}
