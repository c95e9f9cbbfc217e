// How much film some strips take at least from webs of given widths, sets repeated as often as wanted: the relaxation of Gilmore
// and Gomory (1961) with the planner's sites and pricing.
import { bestSet, type CutSite, type Cutting, madeBy } from '../purchase/filmCutting.ts';
import { openLp } from '../solvers/lp.ts';

const ROUNDS = 200;

export interface StripValues {
  /** m2 of film. */
  film: number;
  /** What a m2 of each strip is worth where a m2 of film is worth 1. */
  values: Map<number, number>;
}

/** m2; undefined when these widths cannot make all of the strips. `wanted`: m2 of each. */
export const leastFilm = (
  cutting: Cutting,
  wanted: ReadonlyMap<number, number>,
  webs: readonly number[],
): number | undefined =>
  stripValues(
    wanted,
    webs.flatMap((web) => cutting.sitesAt(web)),
  )?.film;

/** The same with what strips are worth; undefined when these sites cannot make all of them. */
export function stripValues(
  wanted: ReadonlyMap<number, number>,
  sites: readonly CutSite[],
): StripValues | undefined {
  const strips = [...wanted.keys()];
  const place = new Map(strips.map((strip, i) => [strip, i]));
  const total = [...wanted.values()].reduce((a, b) => a + b, 0);
  const lp = openLp([...wanted.values()].map((m2) => ({ sense: '>=', rhs: m2 / total })));
  const add = (made: [number, number][]) =>
    lp.addColumn(
      1,
      made.flatMap(([strip, m2]): [number, number][] => {
        const row = place.get(strip);
        return row === undefined ? [] : [[row, m2]];
      }),
    );
  try {
    for (const strip of strips) {
      const starts = sites.flatMap((at) => bestSet(at, (one) => (one === strip ? 1 : 0), 0).set ?? []);
      if (starts.length === 0) return undefined;
      for (const set of starts) add(madeBy(set));
    }
    let solved = lp.solve();
    for (let round = 0; round < ROUNDS; round++) {
      const { y } = solved;
      const worth = (strip: number): number => y[place.get(strip) ?? -1] ?? 0;
      const better = sites.flatMap((at) => bestSet(at, worth, 1 + 1e-7).set ?? []);
      if (better.length === 0) break;
      for (const set of better) add(madeBy(set));
      solved = lp.solve();
    }
    const values = new Map(strips.map((strip, i) => [strip, Math.max(0, solved.y[i] as number)]));
    return { film: solved.objective * total, values };
  } finally {
    lp.dispose();
  }
}
