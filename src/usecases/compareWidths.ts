// Which base width to buy for the open orders of a product: the least that film and coating cost from each width alone
// (planner/cutBound.ts, finished length by finished length), the best pair found, and so what one more width would save.
import type { Knex } from 'knex';
import { pricePerArea } from '../domain/buyingMath.ts';
import { Refusal } from '../domain/refusal.ts';
import { RESOURCES } from '../domain/resources.ts';
import { type IsoDate, mmToUm } from '../domain/units.ts';
import { cutBound } from '../planner/cutBound.ts';
import { offerTerms, type ProductStrips, stripsAsked } from '../store/buyingOffers.ts';
import { findRows } from '../store/rows.ts';

/** Pairs are tried of the best widths with each other, and of the very best with every other. */
const PAIRED = 6;

export interface WidthCost {
  widthMm: number;
  /** Undefined: some strip is too wide for it, or it is wider than the web of any slitter of the product. */
  cost: number | undefined;
}

export interface WidthComparison {
  product: string;
  grade: string;
  filmPerM2: number;
  coatingPerM2: number;
  metresAsked: number;
  widths: WidthCost[];
  best: { widthMm: number; cost: number } | undefined;
  pair: { widthsMm: [number, number]; cost: number } | undefined;
}

/** Undefined when no open order asks for film, or nobody offers its grade. Refuses with not-found. */
export async function compareWidths(
  db: Knex,
  asked: { product: string; widthsMm: readonly number[]; until?: IsoDate | undefined },
  today: IsoDate,
): Promise<WidthComparison | undefined> {
  const [product] = await findRows(db, RESOURCES.products, [asked.product]);
  if (!product) throw new Refusal('not-found', { what: 'coated product', code: asked.product });
  const strips = (await stripsAsked(db, asked.until)).filter((one) => one.product === product.code);
  const grade = strips[0]?.grade;
  const [film] = grade === undefined ? [] : await findRows(db, RESOURCES.grades, [grade]);
  const offers = (await offerTerms(db)).filter(
    (one) => one.grade === grade && (one.validUntil === null || one.validUntil >= today),
  );
  if (!film || grade === undefined || offers.length === 0) return undefined;
  const perKg = Math.min(...offers.map(({ pricePerKg }) => pricePerKg));
  const filmPerM2 = pricePerArea(perKg, Number(film.thicknessUm), Number(film.densityGPerCm3)).perM2;
  const coatingPerM2 = Number(product.coatingCostPerM2 ?? 0);
  const costOf = (...widthsMm: number[]) => leastCost(strips, widthsMm, filmPerM2 + coatingPerM2);
  const widths = asked.widthsMm.map((widthMm) => ({ widthMm, cost: costOf(widthMm) }));
  return {
    product: String(product.code),
    grade,
    filmPerM2,
    coatingPerM2,
    metresAsked: strips.reduce((sum, one) => sum + one.strips.reduce((m, { metres }) => m + metres, 0), 0),
    widths,
    ...bestOf(widths, costOf),
  };
}

function leastCost(
  strips: readonly ProductStrips[],
  widthsMm: readonly number[],
  perM2: number,
): number | undefined {
  let cost = 0;
  for (const { edgesUm, maxStrips, maxWebUm, strips: wanted } of strips) {
    if (widthsMm.some((mm) => mmToUm(mm) > maxWebUm)) return undefined;
    const webs = widthsMm.map((mm) => ({ widthUm: mmToUm(mm), edgesUm, costPerM: (mm / 1000) * perM2 }));
    const bound = cutBound(webs, wanted, maxStrips ?? undefined);
    if (!bound) return undefined;
    cost += bound.cost;
  }
  return cost;
}

function bestOf(
  widths: readonly WidthCost[],
  costOf: (...widthsMm: number[]) => number | undefined,
): Pick<WidthComparison, 'best' | 'pair'> {
  const able = widths.flatMap(({ widthMm, cost }) => (cost === undefined ? [] : [{ widthMm, cost }]));
  const ranked = able.sort((a, b) => a.cost - b.cost || a.widthMm - b.widthMm);
  const best = ranked[0];
  let pair: WidthComparison['pair'];
  ranked.forEach(({ widthMm: a }, i) => {
    if (i >= PAIRED) return;
    for (const { widthMm: b } of i === 0 ? widths : ranked.slice(0, PAIRED)) {
      if (a === b) continue;
      const cost = costOf(a, b);
      if (cost !== undefined && cost < (pair?.cost ?? Number.POSITIVE_INFINITY) - 1e-9)
        pair = { widthsMm: a < b ? [a, b] : [b, a], cost };
    }
  });
  return { best, pair };
}
