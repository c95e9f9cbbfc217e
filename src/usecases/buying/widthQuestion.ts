// Freezes the question which base width to buy for the open orders of a product, or of all products on a grade: the orders as the planner would get them, the
// price of its film, and the widths that it can be had in today. Plain data, so that a worker can take it.
import type { Knex } from 'knex';
import { pricePerArea } from '../../domain/buyingMath.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import type { Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { type OfferTerms, offerTerms } from '../../store/buyingOffers.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import { ratesOn } from '../../store/rates.ts';
import { findRows } from '../../store/rows.ts';
import { freezeProblem } from '../planning/buildProblem.ts';
import { rateOf } from './buyingState.ts';

export interface WidthQuestion {
  /** Products that are coated on the grade first, with an open order. */
  products: { product: string; coatingPerM2: number }[];
  grade: string;
  /** Those asked for, and those of the menu that lie among them: else the best could be one of today's, and not be named. */
  widthsMm: number[];
  /** Widths on offer today; of a range its widest. */
  menuMm: number[];
  /** Of the cheapest offer, in the plant's currency. */
  filmPerM2: number;
  rollLengthM: number;
  /** Slitters, products, grade and orders; no roll and no offer. */
  document: ProblemDocument;
}

export interface WidthsAsked {
  /** A product, or a grade for all products that are coated on it first. */
  of: { product: string } | { grade: string };
  widthsMm: readonly number[];
  until?: IsoDate | undefined;
}

/** Undefined when no open order asks for film, or nobody offers its grade at a known price. Refuses with not-found. */
export async function widthQuestion(
  db: Knex,
  asked: WidthsAsked,
  today: IsoDate,
): Promise<WidthQuestion | undefined> {
  const { rows, grade } = await productsOf(db, asked.of);
  if (grade === undefined || rows.length === 0) return undefined;
  const [film] = await findRows(db, RESOURCES.grades, [grade]);
  const codes = rows.map(({ code }) => String(code));
  const whole = await freezeProblem(db, { products: codes, asking: true, planOn: today });
  const { until } = asked;
  const orders = whole.orders.filter(
    ({ dueOn }) => until === undefined || (dueOn !== undefined && dueOn <= until),
  );
  const priced = await pricedOffers(db, grade, today);
  const cheapest = [...priced].sort((a, b) => a.perKg - b.perKg)[0];
  const menuMm = [...new Set(priced.map(widestMm))].sort((a, b) => a - b);
  if (!film || !cheapest || orders.length === 0) return undefined;
  const wanted = new Set(orders.map(({ product }) => product));
  return {
    products: rows
      .filter(({ code }) => wanted.has(String(code)))
      .map((row) => ({ product: String(row.code), coatingPerM2: Number(row.coatingCostPerM2 ?? 0) })),
    grade: String(film.code),
    widthsMm: withMenu(asked.widthsMm, menuMm),
    menuMm,
    filmPerM2: pricePerArea(cheapest.perKg, Number(film.thicknessUm), Number(film.densityGPerCm3)).perM2,
    rollLengthM: mmToM(cheapest.rollLengthMm),
    document: bare({ ...whole, orders }, wanted, String(film.code)),
  };
}

function withMenu(asked: readonly number[], menuMm: readonly number[]): number[] {
  const [least, most] = [Math.min(...asked), Math.max(...asked)];
  const among = menuMm.filter((width) => width >= least && width <= most);
  return [...new Set([...asked, ...among])].sort((a, b) => a - b);
}

/** The products that are asked for, and the grade that they are coated on first. */
async function productsOf(
  db: Knex,
  of: WidthsAsked['of'],
): Promise<{ rows: Row[]; grade: string | undefined }> {
  if ('product' in of) {
    const [row] = await findRows(db, RESOURCES.products, [of.product]);
    if (!row) throw new Refusal('not-found', { what: 'coated product', code: of.product });
    return { rows: [row], grade: (row.grades as string[])[0] };
  }
  const [film] = await findRows(db, RESOURCES.grades, [of.grade]);
  if (!film) throw new Refusal('not-found', { what: 'base-film grade', code: of.grade });
  const rows = await rowsByCode(db, 'products');
  return {
    rows: rows.filter(({ grades }) => (grades as string[])[0] === film.code),
    grade: String(film.code),
  };
}

/** Valid offers of the grade with a known price, in the plant's currency. */
async function pricedOffers(
  db: Knex,
  grade: string,
  today: IsoDate,
): Promise<(OfferTerms & { perKg: number })[]> {
  const rates = await ratesOn(db, today);
  return (await offerTerms(db)).flatMap((offer) => {
    const rate = rateOf(rates, offer.currency);
    const valid = offer.validUntil === null || offer.validUntil >= today;
    return offer.grade === grade && valid && rate !== undefined
      ? [{ ...offer, perKg: offer.pricePerKg * rate }]
      : [];
  });
}

const widestMm = ({ widthUm, widthMaxUm }: OfferTerms): number => umToMm((widthUm ?? widthMaxUm) as number);

/** What is ordered, exactly, without days: widths are compared on the same work. */
function bare(document: ProblemDocument, wanted: ReadonlySet<string>, grade: string): ProblemDocument {
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
      .filter(({ id }) => wanted.has(id))
      .map((one) => ({ ...one, coating: one.coating && { ...one.coating, grades: [grade] } })),
    orders: document.orders.map(({ id, product, widthMm, lengthM, rolls }) => ({
      ...{ id, product, widthMm, lengthM, rolls },
    })),
  };
}
