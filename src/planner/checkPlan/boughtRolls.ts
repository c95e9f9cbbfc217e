// The single rolls that a plan buys, named offer#1, offer#2, ... through all purchases of the offer in their order.
import { filmMassKg } from '../../domain/filmMath.ts';
import type { Plan, Purchase } from '../../domain/plan.ts';
import type { Defect, Offer, Problem } from '../../domain/problem.ts';
import type { IsoDate, Mm, Um } from '../../domain/units.ts';
import { addDays, areaM2, mmToM, mmToUm } from '../../domain/units.ts';

/** A single roll before the plan does anything to it. */
export interface RawRoll {
  name: string;
  widthUm: Um;
  lengthMm: Mm;
  defects: Defect[];
  /** Area and cost of the whole roll as it was in stock, coating included in the cost. */
  inputM2: number;
  cost: number;
  /** Bought by this plan: `purchases` charges all of it. */
  bought: boolean;
  /** First day on which it can be slit, when that is known. */
  readyOn: IsoDate | undefined;
  useBy: IsoDate | undefined;
}

/** Mass in kg of one roll of the offer in this width; 0 when its grade is unknown. */
export function offeredRollKg(problem: Problem, offer: Offer, widthMm: number): number {
  const grade = problem.grades.find(({ id }) => id === offer.grade);
  if (!grade) return 0;
  const { thicknessUm, densityGPerCm3 } = grade;
  return filmMassKg({ widthMm, lengthM: mmToM(offer.rollLengthMm), thicknessUm, densityGPerCm3 });
}

/** First day on which a purchase can be there. */
export function arrivalOf(problem: Problem, offer: Offer, purchase: Purchase): IsoDate | undefined {
  const ordered = (purchase.orderBy as IsoDate | undefined) ?? problem.planOn;
  return ordered && addDays(ordered, offer.leadTimeDays);
}

export function boughtRolls(problem: Problem, plan: Plan): Map<string, RawRoll> {
  const rolls = new Map<string, RawRoll>();
  const counted = new Map<string, number>();
  for (const purchase of plan.purchases) {
    const offer = problem.offers.find(({ id }) => id === purchase.offer);
    if (!offer) continue;
    const widthUm = mmToUm(purchase.widthMm);
    const price = offer.pricePerKg * offeredRollKg(problem, offer, purchase.widthMm);
    for (let k = 0; k < purchase.rolls; k++) {
      const number = (counted.get(offer.id) ?? 0) + 1;
      counted.set(offer.id, number);
      const name = `${offer.id}#${number}`;
      const lengthMm = offer.rollLengthMm;
      const readyOn = arrivalOf(problem, offer, purchase);
      const inputM2 = areaM2(widthUm, lengthMm);
      rolls.set(name, {
        name,
        widthUm,
        lengthMm,
        defects: [],
        inputM2,
        cost: price,
        bought: true,
        readyOn,
        useBy: undefined,
      });
    }
  }
  return rolls;
}
