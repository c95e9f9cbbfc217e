// Freezes the question which base width to buy for the open orders of a product: the orders as the planner would get them, the
// price of its film, and the widths that it can be had in today. Plain data, so that a worker can take it.
import type { Knex } from 'knex';
import { pricePerArea } from '../domain/buyingMath.ts';
import type { ProblemDocument } from '../domain/problemDocument.ts';
import { Refusal } from '../domain/refusal.ts';
import { RESOURCES } from '../domain/resources.ts';
import { type IsoDate, mmToM, umToMm } from '../domain/units.ts';
import { type OfferTerms, offerTerms } from '../store/buyingOffers.ts';
import { ratesOn } from '../store/rates.ts';
import { findRows } from '../store/rows.ts';
import { freezeProblem } from './buildProblem.ts';
import { rateOf } from './buyingState.ts';

export interface WidthQuestion {
  product: string;
  grade: string;
  widthsMm: number[];
  /** Widths on offer today; of a range its widest. */
  menuMm: number[];
  /** Of the cheapest offer, in the plant's currency. */
  filmPerM2: number;
  coatingPerM2: number;
  rollLengthM: number;
  /** Slitters, product, grade and orders; no roll and no offer. */
  document: ProblemDocument;
}

/** Undefined when no open order asks for film, or nobody offers its grade at a known price. Refuses with not-found. */
export async function widthQuestion(
  db: Knex,
  asked: { product: string; widthsMm: readonly number[]; until?: IsoDate | undefined },
  today: IsoDate,
): Promise<WidthQuestion | undefined> {
  const [row] = await findRows(db, RESOURCES.products, [asked.product]);
  if (!row) throw new Refusal('not-found', { what: 'coated product', code: asked.product });
  const product = String(row.code);
  const grade = (row.grades as string[])[0];
  if (grade === undefined) return undefined;
  const whole = await freezeProblem(db, { products: [product], asking: true, planOn: today });
  const { until } = asked;
  const orders = whole.orders.filter(
    ({ dueOn }) => until === undefined || (dueOn !== undefined && dueOn <= until),
  );
  const [film] = await findRows(db, RESOURCES.grades, [grade]);
  const rates = await ratesOn(db, today);
  const priced = (await offerTerms(db)).flatMap((offer) => {
    const rate = rateOf(rates, offer.currency);
    const valid = offer.validUntil === null || offer.validUntil >= today;
    return offer.grade === grade && valid && rate !== undefined
      ? [{ ...offer, perKg: offer.pricePerKg * rate }]
      : [];
  });
  const cheapest = [...priced].sort((a, b) => a.perKg - b.perKg)[0];
  if (!film || !cheapest || orders.length === 0) return undefined;
  const thickness = [Number(film.thicknessUm), Number(film.densityGPerCm3)] as const;
  return {
    product,
    grade,
    widthsMm: [...asked.widthsMm],
    menuMm: [...new Set(priced.map(widestMm))].sort((a, b) => a - b),
    filmPerM2: pricePerArea(cheapest.perKg, ...thickness).perM2,
    coatingPerM2: Number(row.coatingCostPerM2 ?? 0),
    rollLengthM: mmToM(cheapest.rollLengthMm),
    document: bare({ ...whole, orders }, product, grade),
  };
}

const widestMm = ({ widthUm, widthMaxUm }: OfferTerms): number => umToMm((widthUm ?? widthMaxUm) as number);

/** What is ordered, exactly, without days: widths are compared on the same work. */
function bare(document: ProblemDocument, product: string, grade: string): ProblemDocument {
  const {
    planOn: _planOn,
    rolls: _rolls,
    offers: _offers,
    costs: _costs,
    limits: _limits,
    ...rest
  } = document;
  return {
    ...rest,
    grades: (document.grades ?? []).filter(({ id }) => id === grade),
    products: document.products
      .filter(({ id }) => id === product)
      .map((one) => ({ ...one, coating: one.coating && { ...one.coating, grades: [grade] } })),
    orders: document.orders.map(({ id, widthMm, lengthM, rolls }) => ({
      id,
      product,
      widthMm,
      lengthM,
      rolls,
    })),
  };
}
