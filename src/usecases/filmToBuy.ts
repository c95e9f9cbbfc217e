// Film on hand by grade against what the open orders still need and what suppliers offer, with the price per m2 that
// makes offers of different thickness comparable: price per kg x thickness x density (trade formula C10).
import { group } from 'd3-array';
import type { Knex } from 'knex';
import { pricePerArea } from '../domain/buyingMath.ts';
import { filmYieldM2PerKg } from '../domain/filmMath.ts';
import { addDays, type IsoDate } from '../domain/units.ts';
import { gradesWithOffers, holdings, type OfferLine } from '../store/balances.ts';
import { type ProductBalance, stockAgainstOrders } from './stockAgainstOrders.ts';

export type { ProductBalance };

export interface OfferSeen extends OfferLine {
  pricePerM2: number;
  /** The smallest order as an area, m2. */
  minOrderM2: number;
  /** When it arrives if ordered today. */
  arrivesOn: IsoDate;
}

export interface GradeSeen {
  grade: string;
  polymer: string;
  thicknessUm: number;
  releasedM2: number;
  releasedRolls: number;
  heldM2: number;
  /** Products that are short of coated stock and may be coated on it. */
  wantedBy: ProductBalance[];
  /** The cheapest per m2 first. */
  offers: OfferSeen[];
}

/** Every grade, those that somebody is short of first. */
export async function filmToBuy(db: Knex, today: IsoDate): Promise<GradeSeen[]> {
  const [lines, stock, balances] = await Promise.all([
    gradesWithOffers(db),
    holdings(db, today),
    stockAgainstOrders(db, today),
  ]);
  const seen = [...group(lines, (line) => line.grade)].map(([grade, ofGrade]) => {
    const here = stock.filter((one) => one.kind === 'base' && one.item === grade);
    const free = here.filter((one) => one.status === 'released');
    const first = ofGrade[0] as OfferLine;
    return {
      grade,
      polymer: first.polymer,
      thicknessUm: first.thicknessUm,
      releasedM2: sum(free.map((one) => one.areaM2)),
      releasedRolls: sum(free.map((one) => one.rolls)),
      heldM2: sum(here.filter((one) => one.status !== 'released').map((one) => one.areaM2)),
      wantedBy: balances.filter((b) => b.shortM2 > 0 && b.grades.includes(grade)),
      offers: ofGrade
        .filter(isOffer)
        .map((offer) => offerSeen(offer, today))
        .sort((a, b) => a.pricePerM2 - b.pricePerM2),
    };
  });
  const missing = (one: GradeSeen): number => sum(one.wantedBy.map((b) => b.missingFilmM2));
  return seen.sort((a, b) => missing(b) - missing(a) || b.wantedBy.length - a.wantedBy.length);
}

const sum = (values: number[]): number => values.reduce((a, b) => a + b, 0);
const isOffer = (line: Partial<OfferLine>): line is OfferLine => typeof line.code === 'string';

function offerSeen(offer: OfferLine, today: IsoDate): OfferSeen {
  const { pricePerKg, thicknessUm, densityGPerCm3 } = offer;
  return {
    ...offer,
    pricePerM2: pricePerArea(pricePerKg, thicknessUm, densityGPerCm3).perM2,
    minOrderM2: offer.minOrderKg * filmYieldM2PerKg(thicknessUm, densityGPerCm3),
    arrivesOn: addDays(today, offer.leadTimeDays),
  };
}
