// The door "Buy the film": per grade what is in the house, who waits for it, and what the suppliers offer,
// compared by price per m2 and by the day it would arrive.
import type { RequestHandler } from 'express';
import { CURRENCY } from '../domain/resource.ts';
import { filmToBuy, type GradeSeen, type OfferSeen } from '../usecases/filmToBuy.ts';
import { showPage } from './page.ts';
import type { Services } from './services.ts';
import { andList, count, grouped, rowHref } from './words.ts';

const whole = (value: number): string => grouped(Math.round(value), 0);

/** GET /buy. */
export function buyPage(services: Services): RequestHandler {
  return async (req, res) => {
    const grades = await filmToBuy(services.db, services.today());
    const short = new Map(
      grades.flatMap((g) => g.wantedBy.filter((b) => b.missingFilmM2 > 0).map((b) => [b.product, b])),
    );
    showPage(req, res, 'buy', {
      title: 'Buy the film',
      currency: CURRENCY,
      answer: answerOf([...short.values()]),
      grades: grades.map(gradeModel),
    });
  };
}

function answerOf(short: { product: string; missingFilmM2: number }[]): string {
  if (short.length === 0)
    return 'By area, the film in the house covers every product that open orders are short of.';
  const parts = short.map((b) => `${b.product} by at least ${whole(Math.ceil(b.missingFilmM2))} m²`);
  return `Film is short for ${andList(parts)}, before trim, lead-in and coating loss.`;
}

function gradeModel(seen: GradeSeen) {
  return {
    grade: seen.grade,
    href: rowHref('grades', seen.grade),
    title: `${seen.polymer} ${grouped(seen.thicknessUm)} um`,
    released: `${whole(seen.releasedM2)} m² in ${count(seen.releasedRolls, 'released roll')}`,
    held: seen.heldM2 > 0 ? `${whole(seen.heldM2)} m² on hold or in quarantine` : '',
    rollsHref: `/rolls?item=${encodeURIComponent(seen.grade)}`,
    wanted: seen.wantedBy.map((b) => ({
      href: rowHref('products', b.product),
      product: b.product,
      missing: b.missingFilmM2 > 0,
      text:
        `${b.name} needs ${whole(b.shortM2)} m² more than is coated; its grades hold ${whole(b.filmM2)} m²` +
        (b.missingFilmM2 > 0 ? `, so ${whole(b.missingFilmM2)} m² is missing` : '') +
        (b.sharedWith.length > 0 ? `; ${andList(b.sharedWith)} may want it too` : ''),
    })),
    offers: seen.offers.map(offerModel),
  };
}

function offerModel(offer: OfferSeen) {
  const width =
    offer.widthUm === null
      ? `${grouped((offer.widthMinUm ?? 0) / 1000)} to ${grouped((offer.widthMaxUm ?? 0) / 1000)}`
      : grouped(offer.widthUm / 1000);
  return {
    code: offer.code,
    href: rowHref('offers', offer.code),
    supplier: offer.supplierName,
    width,
    perKg: offer.pricePerKg.toFixed(2),
    perM2: offer.pricePerM2.toFixed(4),
    minKg: whole(offer.minOrderKg),
    minM2: whole(offer.minOrderM2),
    days: grouped(offer.leadTimeDays),
    arrives: offer.arrivesOn,
  };
}
