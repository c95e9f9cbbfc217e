// Sets across the web as columns of a purchase program, generated as they are worth it (Gilmore & Gomory 1961): the duals of the
// linear relaxation value strips by day and film by width and day; a set that makes more worth of a m2 of film than that film
// costs becomes a column. When no site has one, nothing is left out; when time ends before, the strips' duals are scaled down
// until no set is worth more than its film, which leaves a proven bound (Farley 1990).
import { type LinearProgram, openLp } from '../solvers/lp.ts';
import { bestSet, type CutSite, type Cutting, type FilmSet, worthOf } from './filmCutting.ts';
import type { Draft } from './purchaseDraft.ts';
import { addSet, type FilmRows, sitesOf } from './purchaseFilm.ts';
import { alone } from './purchaseMost.ts';

export interface SetColumn {
  rows: FilmRows;
  set: FilmSet;
  /** Place of the day on which it is cut. */
  d: number;
  column: number;
}

export interface Relaxed {
  /** No solution of the program costs less. */
  bound: number;
  /** Duals of the rows, and by how much those of a grade's strips are to be scaled so that no set is worth more than its film. */
  y: number[];
  scale: Map<FilmRows, number>;
  x: number[];
  sets: SetColumn[];
}

const ROUNDS = 400;
const GAIN = 1e-7;

/** Solves the relaxation with all sets that matter; they stay in the draft as columns. */
export function relaxWithSets(
  { draft, film }: { draft: Draft; film: readonly FilmRows[] },
  secondsLeft: () => number,
): Relaxed {
  const sets = film.flatMap((rows) => known(draft, rows));
  const lp = openLp(draft.rows);
  try {
    let inLp = 0;
    let best: Pick<Relaxed, 'bound' | 'y' | 'scale'> | undefined;
    for (let round = 0; ; round++) {
      inLp = takeColumns(lp, draft, inLp);
      const { x, y, objective } = lp.solve();
      const found = film.map((rows) => priceGrade(rows, y));
      const bound = objective - found.reduce((sum, one) => sum + one.short, 0);
      if (!best || bound >= best.bound)
        best = { bound, y, scale: new Map(film.map((rows, i) => [rows, found[i]?.scale ?? 1])) };
      const fresh = found.flatMap(({ columns }) => columns);
      if (fresh.length === 0 || round >= ROUNDS || secondsLeft() <= 0) return { ...best, x, sets };
      for (const one of fresh) sets.push({ ...one, column: addSet(draft, one.rows, one.set, one.d) });
    }
  } finally {
    lp.dispose();
  }
}

function takeColumns(lp: LinearProgram, { mip }: Draft, from: number): number {
  for (let j = from; j < mip.cost.length; j++) lp.addColumn(mip.cost[j] as number, mip.columns[j] ?? []);
  return mip.cost.length;
}

interface Priced {
  columns: Omit<SetColumn, 'column'>[];
  scale: number;
  /** By how much the objective may lie above the bound because of this grade. */
  short: number;
}

function priceGrade(rows: FilmRows, y: readonly number[]): Priced {
  const columns: Priced['columns'] = [];
  let scale = 1;
  for (const d of rows.cutDays) {
    const worth = worthsFrom(rows, y, d);
    for (const at of sitesOf(rows)) {
      const above = filmWorth(rows, y, at.webUm, d) + at.coatingPerM2 * rows.unitM2;
      const { set, upper } = bestSet(at, worth, above * (1 + GAIN) + 1e-12);
      if (!set && upper <= above * (1 + GAIN) + 1e-12) continue;
      scale = Math.min(scale, upper > 0 ? above / upper : 1);
      if (set && remember(rows, set, d)) columns.push({ rows, set, d });
    }
  }
  const asked = rows.strips.reduce((sum, { row, share }) => sum + Math.max(0, y[row] as number) * share, 0);
  return { columns, scale, short: (1 - scale) * asked };
}

/** What a m2 of each strip is worth when it is cut on a day: it serves what is wanted then and later. */
function worthsFrom(rows: FilmRows, y: readonly number[], d: number): (strip: number) => number {
  const worth = new Map<number, number>();
  for (const one of rows.strips)
    if (one.d >= d) worth.set(one.strip, (worth.get(one.strip) ?? 0) + Math.max(0, y[one.row] as number));
  return (strip) => worth.get(strip) ?? 0;
}

function filmWorth({ webs }: FilmRows, y: readonly number[], web: number, d: number): number {
  return (webs.get(web) ?? []).slice(d).reduce((sum, row) => sum + Math.max(0, y[row] as number), 0);
}

// ---- sets that are known already ---------------------------------------------------------------------------------

interface Known {
  set: FilmSet;
  days: Set<number>;
}

const knownSets = new WeakMap<Cutting, Map<string, Known>>();

/** Keeps a set for this and later programs. @returns false when it was a column on that day already. */
function remember({ needs, given }: FilmRows, set: FilmSet, d: number): boolean {
  const cutting = needs.strips?.cutting as Cutting;
  const all = knownSets.get(cutting) ?? new Map<string, Known>();
  knownSets.set(cutting, all);
  const key = `${set.at.webUm}|${set.at.site.index}|${set.counts.join()}`;
  const one = all.get(key) ?? { set, days: new Set() };
  all.set(key, one);
  const day = given.days[d] as number;
  if (one.days.has(day)) return false;
  one.days.add(day);
  return true;
}

/** What was found before, and each strip alone on each width of film. */
function known(draft: Draft, rows: FilmRows): SetColumn[] {
  const cutting = rows.needs.strips?.cutting;
  if (!cutting) return [];
  addStarters(rows);
  return [...(knownSets.get(cutting)?.values() ?? [])].flatMap(({ set, days }) =>
    rows.cutDays
      .filter((d) => days.has(rows.given.days[d] as number) && rows.webs.has(set.at.webUm))
      .map((d) => ({ rows, set, d, column: addSet(draft, rows, set, d) })),
  );
}

function addStarters(rows: FilmRows): void {
  const sites = sitesOf(rows);
  for (const { strip } of rows.given.strips) {
    const first = rows.strips.find((one) => one.strip === strip)?.d;
    if (first === undefined) continue;
    for (const at of sites) {
      const set = aloneAt(rows, at, strip);
      if (set) remember(rows, set, first);
    }
  }
}

function aloneAt(rows: FilmRows, at: CutSite, strip: number): FilmSet | undefined {
  if (alone(rows, at.webUm, strip) <= 0) return undefined;
  const only = (one: number): number => (one === strip ? 1 : 0);
  const { set } = bestSet(at, only, 0);
  return set && worthOf(set, only) > 0 ? set : undefined;
}
