// How well a base width suits the open orders of a grade, against the width in which its need is counted: the ratio of the
// areas of film that both take at least (planner/cutBound.ts), product by product. 1 where no order says anything.
import { sum } from 'd3-array';
import { type CutBound, cutBound } from '../../planner/cutBound.ts';
import type { ProductStrips } from '../../store/buyingOffers.ts';

/** Least film that the orders take from this width alone, m2; undefined when some strip is too wide for it. */
function filmFromWidth(products: readonly ProductStrips[], widthUm: number): number | undefined {
  const bounds = products.map(({ edgesUm, strips, maxStrips }) =>
    cutBound([{ widthUm, edgesUm, costPerM: widthUm / 1e6 }], strips, maxStrips ?? undefined),
  );
  return bounds.every((bound) => bound !== undefined)
    ? sum(bounds as CutBound[], ({ cost }) => cost)
    : undefined;
}

/** What an m2 of this width does, in m2 of the usual width; undefined when the width cannot make all of the orders. */
export function widthFactor(
  products: readonly ProductStrips[],
  widthUm: number,
  usualUm: number,
): number | undefined {
  if (widthUm === usualUm || products.length === 0) return 1;
  const own = filmFromWidth(products, widthUm);
  const usual = filmFromWidth(products, usualUm);
  if (own === undefined) return undefined;
  return usual === undefined || own === 0 ? 1 : usual / own;
}

const MOST_TRIED = 9;

/** The width of a range that makes most of an m2 for these orders: some across the range are tried. */
export function bestOfRange(
  products: readonly ProductStrips[],
  range: { minUm: number; maxUm: number; stepUm: number },
): number {
  const steps = Math.floor((range.maxUm - range.minUm) / range.stepUm);
  const stride = Math.max(1, Math.ceil(steps / (MOST_TRIED - 1)));
  const tried = Array.from(
    { length: Math.floor(steps / stride) + 1 },
    (_, i) => range.minUm + i * stride * range.stepUm,
  );
  const film = new Map(
    tried.map((width) => [width, filmFromWidth(products, width) ?? Number.POSITIVE_INFINITY]),
  );
  return tried.reduce((best, width) =>
    (film.get(width) as number) <= (film.get(best) as number) ? width : best,
  );
}
