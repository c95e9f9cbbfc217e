// Film on hand by grade against what the open orders still need and what suppliers offer, with the price per m2 that
// makes offers of different thickness comparable: price per kg x thickness x density (trade formula C10).
import { group } from 'd3-array';
import type { Knex } from 'knex';
import { pricePerArea } from '../../domain/buyingMath.ts';
import { filmYieldM2PerKg } from '../../domain/filmMath.ts';
import { countedOnAfter, delayOf, type LeadTime, leadTimeOf } from '../../domain/leadTime.ts';
import { addDays, type IsoDate } from '../../domain/units.ts';
import { gradesWithOffers, holdings, type OfferLine } from '../../store/balances.ts';
import { deliveries } from '../../store/supplierRecord.ts';
import { type ProductBalance, stockAgainstOrders } from '../planning/stockAgainstOrders.ts';

export type { ProductBalance };

export interface OfferSeen extends OfferLine {
  /** In the plant's currency; undefined: no exchange rate holds today. */
  pricePerM2: number | undefined;
  lapsed: boolean;
  lead: LeadTime;
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
  const [lines, stock, balances, came] = await Promise.all([
    gradesWithOffers(db, today),
    holdings(db, today),
    stockAgainstOrders(db, today),
    deliveries(db),
  ]);
  const delays = group(came, ({ supplier }) => supplier);
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
        .map((offer) => offerSeen(offer, (delays.get(offer.supplier) ?? []).map(delayOf), today))
        .sort(usableFirst),
    };
  });
  const missing = (one: GradeSeen): number => sum(one.wantedBy.map((b) => b.missingFilmM2));
  return seen.sort((a, b) => missing(b) - missing(a) || b.wantedBy.length - a.wantedBy.length);
}

const sum = (values: number[]): number => values.reduce((a, b) => a + b, 0);
const isOffer = (line: Partial<OfferLine>): line is OfferLine => typeof line.code === 'string';

function offerSeen(offer: OfferLine, delays: readonly number[], today: IsoDate): OfferSeen {
  const { plantPricePerKg: price, thicknessUm, densityGPerCm3, validUntil } = offer;
  const lead = leadTimeOf(offer, delays);
  return {
    ...offer,
    pricePerM2: price === null ? undefined : pricePerArea(price, thicknessUm, densityGPerCm3).perM2,
    minOrderM2: offer.minOrderKg * filmYieldM2PerKg(thicknessUm, densityGPerCm3),
    lapsed: validUntil !== null && validUntil < today,
    lead,
    arrivesOn: addDays(today, countedOnAfter(lead)),
  };
}

/** Offers that can be taken by their price, then those that have lapsed or have no rate. */
function usableFirst(a: OfferSeen, b: OfferSeen): number {
  const rank = (one: OfferSeen): number => (one.lapsed || one.pricePerM2 === undefined ? 1 : 0);
  return rank(a) - rank(b) || (a.pricePerM2 ?? 0) - (b.pricePerM2 ?? 0) || a.code.localeCompare(b.code);
}
