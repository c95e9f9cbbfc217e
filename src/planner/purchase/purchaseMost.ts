// How much film of a width could be of use at all: what is needed by area, and each strip cut for itself where this width makes
// it. More than that no cheapest purchase takes, beyond what orders and prices ask for.
import { bestSet, madeBy } from './filmCutting.ts';
import type { FilmRows } from './purchaseFilm.ts';

/** m2. */
export function mostFilm(rows: FilmRows, webUm: number): number {
  const byArea = Math.max(0, ...rows.given.areaM2);
  if (!rows.needs.strips) return byArea;
  return rows.given.strips.reduce((m2, { strip, byDay }) => {
    const each = alone(rows, webUm, strip);
    return each > 0 ? m2 + (byDay.at(-1) ?? 0) / each : m2;
  }, byArea);
}

const known = new WeakMap<object, Map<string, number>>();

/** m2 of a strip that a m2 of film makes at the most; 0: it cannot be cut from this width. */
export function alone({ needs }: Pick<FilmRows, 'needs'>, webUm: number, strip: number): number {
  const cutting = needs.strips?.cutting;
  if (!cutting) return 0;
  const found = known.get(cutting) ?? new Map<string, number>();
  known.set(cutting, found);
  const key = `${webUm}|${strip}`;
  const before = found.get(key);
  if (before !== undefined) return before;
  const made = cutting.sitesAt(webUm).map((at) => {
    const { set } = bestSet(at, (one) => (one === strip ? 1 : 0), 0);
    return set ? (madeBy(set).find(([one]) => one === strip)?.[1] ?? 0) : 0;
  });
  const most = Math.max(0, ...made);
  found.set(key, most);
  return most;
}
