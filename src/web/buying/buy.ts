// The door "Buy the film": per grade what is in the house, who waits for it, and what the suppliers offer,
// compared by price per m2 and by the day it would arrive.
import type { RequestHandler } from 'express';
import { CURRENCY } from '../../domain/resource.ts';
import {
  filmToBuy,
  type GradeSeen,
  type OfferSeen,
  type ProductBalance,
} from '../../usecases/buying/filmToBuy.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { andList, grouped, rowHref } from '../words.ts';

const up = (value: number): string => grouped(Math.ceil(value), 0);
const whole = (value: number): string => grouped(Math.round(value), 0);

/** GET /buy. */
export function buyPage(services: Services): RequestHandler {
  return async (req, res) => {
    const grades = await filmToBuy(services.db, services.today());
    const waiting = new Map(grades.flatMap((g) => g.wantedBy.map((b) => [b.product, b])));
    const products = [...waiting.values()].sort((a, b) => b.missingFilmM2 - a.missingFilmM2);
    showPage(req, res, 'buy', {
      title: 'Buy the film',
      currency: CURRENCY,
      answer: answerOf(products.filter((b) => b.missingFilmM2 > 0)),
      products: products.map(productModel),
      grades: grades.map(gradeModel),
    });
  };
}

function answerOf(short: ProductBalance[]): string {
  if (short.length === 0)
    return 'By area, the film in the house covers every product that open orders are short of.';
  const parts = short.map((b) => `${b.product} by at least ${up(b.missingFilmM2)} m²`);
  return `Film is short for ${andList(parts)}, before trim, lead-in and coating loss.`;
}

function productModel(b: ProductBalance) {
  return {
    code: b.product,
    name: b.name,
    href: rowHref('products', b.product),
    more: up(b.shortM2),
    firstDue: b.firstDue ?? '',
    grades: b.grades,
    film: whole(b.filmM2),
    held: whole(b.heldFilmM2),
    missing: b.missingFilmM2 > 0 ? up(b.missingFilmM2) : '',
    shared: andList(b.sharedWith),
  };
}

function gradeModel(seen: GradeSeen) {
  return {
    grade: seen.grade,
    href: rowHref('grades', seen.grade),
    title: `${seen.polymer} ${grouped(seen.thicknessUm)} um`,
    released: whole(seen.releasedM2),
    held: seen.heldM2 > 0 ? whole(seen.heldM2) : '',
    rollsHref: `/rolls?item=${encodeURIComponent(seen.grade)}`,
    offers: seen.offers.map(offerModel),
  };
}

function offerModel(offer: OfferSeen) {
  const { widthUm, widthMinUm, widthMaxUm } = offer;
  const range = `${grouped((widthMinUm ?? 0) / 1000)} to ${grouped((widthMaxUm ?? 0) / 1000)}`;
  return {
    code: offer.code,
    href: rowHref('offers', offer.code),
    supplier: offer.supplierName,
    width: widthUm === null ? range : grouped(widthUm / 1000),
    perKg: `${offer.pricePerKg.toFixed(2)} ${offer.currency}`,
    perM2: offer.pricePerM2?.toFixed(4) ?? '',
    trouble: troubleOf(offer),
    minKg: whole(offer.minOrderKg),
    minM2: whole(offer.minOrderM2),
    days: daysWords(offer),
    arrives: offer.arrivesOn,
  };
}

/** Why an offer cannot be taken today. */
function troubleOf(offer: OfferSeen): string {
  if (offer.lapsed) return `lapsed ${offer.validUntil}`;
  return offer.pricePerM2 === undefined ? `no rate for ${offer.currency}` : '';
}

/** "63", "63 + 7" with its spread, "63 + 9 late" by the supplier's record. */
function daysWords({ leadTimeDays, lead }: OfferSeen): string {
  const more = Math.ceil(lead.days + lead.spreadDays - leadTimeDays - 1e-9);
  if (more <= 0) return grouped(leadTimeDays);
  return `${grouped(leadTimeDays)} + ${grouped(more)}${lead.from === 'record' ? ' by the record' : ''}`;
}
