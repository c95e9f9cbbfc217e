// What becomes of film that is bought: the sets into which the film of one grade is cut, how much of it is late and what its
// coating costs, when it is decided how much of which width comes when. The duals say what more film would save: an inequality
// that holds for every purchase (Benders 1962, Numerische Mathematik 4, 238), by which purchaseBound.ts proves.
import type { GradeDays } from './purchaseDays.ts';
import { openDraft } from './purchaseDraft.ts';
import { addFilm, type FilmRows } from './purchaseFilm.ts';
import { type Relaxed, relaxWithSets } from './purchaseSets.ts';
import type { GradeNeeds } from './purchaseTask.ts';

/** Film of one width that is cut into one set for the needs of one day. */
export interface SetOfFilm {
  grade: string;
  webUm: number;
  day: number;
  product: string;
  lengthMm: number;
  strips: { widthUm: number; many: number }[];
  filmM2: number;
  /** Share of the web's width that no strip takes. */
  trim: number;
}

/**
 * By width and day (its place) what a m2 of film is worth, such that film that may go into sets, times these, comes at least to
 * `least` less the cost of coating times `coating`, in every way to cut the strips.
 */
export interface FilmCut {
  grade: string;
  film: Map<number, number[]>;
  coating: number;
  least: number;
}

export interface CutFilm {
  late: number;
  coating: number;
  /** Share of the need that the film does not make; 0 in every purchase that covers it. */
  missing: number;
  sets: SetOfFilm[];
  cut: FilmCut;
}

/** `arrived`: m2 that come by each of the days, by width. `missingPerM2`: dearer than any way of buying it. */
export function cutFilm(
  needs: GradeNeeds,
  given: GradeDays,
  webs: readonly number[],
  arrived: ReadonlyMap<number, readonly number[]>,
  missingPerM2: number,
  secondsLeft: () => number,
): CutFilm {
  const draft = openDraft();
  const rows = addFilm(draft, needs, given, webs, { sets: true, arrived });
  const missing = [...rows.strips, ...rows.area].map(({ row }) =>
    draft.addColumn(missingPerM2 * rows.unitM2, [[row, 1]]),
  );
  const relaxed = relaxWithSets({ draft, film: [rows] }, secondsLeft);
  const sum = (columns: readonly number[], of: (column: number) => number): number =>
    columns.reduce((total, column) => total + of(column), 0);
  const cost = (column: number): number => (relaxed.x[column] ?? 0) * (draft.mip.cost[column] as number);
  return {
    late: sum(rows.late, cost),
    coating: sum(
      relaxed.sets.map(({ column }) => column),
      cost,
    ),
    missing: sum(missing, (column) => relaxed.x[column] ?? 0),
    sets: setsOf(rows, relaxed),
    cut: filmCut(rows, relaxed),
  };
}

/** The inequality that the duals of a relaxation give for a grade. */
export function filmCut(rows: FilmRows, { y, scale }: Pick<Relaxed, 'y' | 'scale'>): FilmCut {
  const dual = (row: number): number => Math.max(0, y[row] ?? 0);
  const own = scale.get(rows) ?? 1;
  const least = own * rows.strips.reduce((sum, { row, share }) => sum + dual(row) * share, 0);
  const largest = Math.max(1e-12, least, ...[...rows.webs.values()].flat().map(dual));
  return {
    grade: rows.grade,
    film: new Map([...rows.webs].map(([web, film]) => [web, film.map((row) => dual(row) / largest)])),
    coating: 1 / largest,
    least: least / largest,
  };
}

function setsOf({ grade, given, unitM2, webs }: FilmRows, { x, sets }: Relaxed): SetOfFilm[] {
  return sets.flatMap(({ set, d, column }) => {
    const filmM2 = (x[column] ?? 0) * unitM2;
    if (filmM2 < 0.01 || !webs.has(set.at.webUm)) return [];
    const { site, webUm } = set.at;
    const strips = set.counts.flatMap((many, k) =>
      many > 0 ? [{ widthUm: site.widthsUm[k] as number, many }] : [],
    );
    const used = strips.reduce((um, { widthUm, many }) => um + widthUm * many, 0);
    const { product, lengthMm } = site.place;
    const head = { grade, webUm, day: given.days[d] as number, product: product.id, lengthMm };
    return [{ ...head, strips, filmM2, trim: 1 - used / webUm }];
  });
}
