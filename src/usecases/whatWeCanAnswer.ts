// What can be said to a customer about a product from stock, open orders, film and offers, by area and roll size.
// An estimate before any plan: it can say no for certain (no roll is wide or long enough, the area is not there);
// a yes still has to be planned, because patterns and bad places take their share.
import type { Knex } from 'knex';
import { addDays, areaM2, type IsoDate } from '../domain/units.ts';
import { demandByWidth, gradesWithOffers, type WidthDemand } from '../store/balances.ts';
import { type RollToSee, rollsOfProduct } from '../store/needs.ts';
import { type ProductBalance, stockAgainstOrders } from './stockAgainstOrders.ts';

export type { RollToSee, WidthDemand };

export interface Asked {
  product: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
}

export interface Answer {
  verdict: 'from-stock' | 'coat-first' | 'film-first' | 'no-film-known';
  askedM2: number;
  /** Coated and released beyond what open orders take, m2; 0 when they take it all. */
  freeM2: number;
  /** Free coated stock and the film to coat, beyond what open orders take, m2. */
  reachableM2: number;
  /** Released rolls that are wide and long enough for one finished roll. */
  fitting: RollToSee[];
  /** Coated and ready if started today, or if the soonest film were ordered today. */
  earliest: IsoDate | undefined;
  /** The offer behind `earliest`, when film has to come first. */
  offer: { code: string; supplierName: string; leadTimeDays: number } | undefined;
}

/** The balance of all products, with the widths and rolls of one. */
export async function whatThereIs(db: Knex, today: IsoDate, product: string | undefined) {
  const balances = await stockAgainstOrders(db, today);
  const chosen = balances.find((b) => b.product === product);
  if (!chosen) return { balances, chosen: undefined, widths: [], rolls: [] };
  const [widths, rolls] = await Promise.all([
    demandByWidth(db, chosen.product),
    rollsOfProduct(db, chosen.product),
  ]);
  return { balances, chosen, widths, rolls };
}

/** The answer to an enquiry, on this day. */
export async function answerCustomer(
  db: Knex,
  today: IsoDate,
  asked: Asked,
  balance: ProductBalance,
  rolls: RollToSee[],
): Promise<Answer> {
  const askedM2 = asked.rolls * areaM2(asked.widthUm, asked.lengthMm);
  const freeM2 = Math.max(0, balance.coatedM2 - balance.areaM2);
  const reachableM2 = Math.max(0, balance.coatedM2 + balance.filmM2 - balance.areaM2);
  const fitting = rolls.filter(
    (roll) =>
      roll.status === 'released' &&
      (roll.useBy === null || roll.useBy >= today) &&
      roll.widthUm >= asked.widthUm &&
      roll.lengthMm >= asked.lengthMm,
  );
  const found = { askedM2, freeM2, reachableM2, fitting };
  if (freeM2 >= askedM2 && fitting.length > 0)
    return { ...found, verdict: 'from-stock', earliest: undefined, offer: undefined };
  if (reachableM2 >= askedM2 && balance.filmM2 > 0)
    return {
      ...found,
      verdict: 'coat-first',
      earliest: addDays(today, balance.coatingLeadDays),
      offer: undefined,
    };
  const offer = await soonestOffer(db, balance.grades);
  if (!offer) return { ...found, verdict: 'no-film-known', earliest: undefined, offer: undefined };
  const earliest = addDays(today, offer.leadTimeDays + balance.coatingLeadDays);
  return { ...found, verdict: 'film-first', earliest, offer };
}

async function soonestOffer(db: Knex, grades: string[]): Promise<Answer['offer']> {
  const offers = (await gradesWithOffers(db)).flatMap((line) =>
    line.code && line.supplierName && line.leadTimeDays !== undefined && grades.includes(line.grade)
      ? [{ code: line.code, supplierName: line.supplierName, leadTimeDays: line.leadTimeDays }]
      : [],
  );
  return offers.sort((a, b) => a.leadTimeDays - b.leadTimeDays)[0];
}
