// The film of one grade in a purchase program. By each day there must be the film that is cut by then into the strips that are
// wanted by then, or it is late at a price; what is there beyond is carried on to the next day. Film that is needed by area may be
// of any width. Columns are sets across a web of one width, cut on one day; quantities are shares of the grade's need, so that
// the sizes of rows are alike.
import { type CutSite, type FilmSet, madeBy } from './filmCutting.ts';
import type { GradeDays } from './purchaseDays.ts';
import type { Draft } from './purchaseDraft.ts';
import type { GradeNeeds } from './purchaseTask.ts';

/** Film of a grade whose widths do not matter. */
const ANY_WIDTH = 0;

export interface FilmRows {
  grade: string;
  needs: GradeNeeds;
  given: GradeDays;
  /** m2 that are counted as 1. */
  unitM2: number;
  /** For each width of film a row for each of the days: what has come covers what is cut by then, and what is needed by area. */
  webs: Map<number, number[]>;
  /** Strips wanted by a day (its place in the list of days). */
  strips: { strip: number; d: number; row: number; share: number }[];
  /** Days (by place) on which more strips are wanted: on these sets are cut. */
  cutDays: number[];
  area: { d: number; row: number; share: number }[];
  /** Columns of film that is late. */
  late: number[];
  /** Columns of film that may go into sets, by web and day; only where the sets themselves are not in the program. */
  free: Map<number, number[]>;
}

export interface FilmDraft {
  /** The rows that strips make, for sets as columns; else columns for the film that they may take. */
  sets: boolean;
  /** m2 that arrive by each of the days, where that is decided already, by width. */
  arrived?: ReadonlyMap<number, readonly number[]>;
}

/** `webs`: the widths of film on offer. */
export function addFilm(
  draft: Draft,
  needs: GradeNeeds,
  given: GradeDays,
  webs: readonly number[],
  { sets, arrived }: FilmDraft,
): FilmRows {
  const widths = needs.strips ? [...new Set([...webs, ...given.film.keys()])] : [ANY_WIDTH];
  const unitM2 = Math.max(1e-6, needOf(given));
  const rows: FilmRows = {
    ...{
      grade: needs.grade,
      needs,
      given,
      unitM2,
      webs: new Map(),
      strips: [],
      cutDays: [],
      area: [],
      late: [],
    },
    free: new Map(),
  };
  for (const web of widths) rows.webs.set(web, filmRows(draft, rows, web, arrived));
  if (!needs.strips) return rows;
  addArea(draft, rows);
  addStrips(draft, rows, sets);
  if (!sets)
    for (const [web, film] of rows.webs)
      rows.free.set(
        web,
        film.map((row) => draft.addColumn(0, [[row, -1]])),
      );
  return rows;
}

const needOf = ({ areaM2, strips }: GradeDays): number =>
  Math.max(0, ...areaM2) + strips.reduce((sum, { byDay }) => sum + (byDay.at(-1) ?? 0), 0);

/** The row of a lot's film, whatever its width where widths do not matter. */
export const rowsFor = (rows: FilmRows, webUm: number): readonly number[] =>
  rows.webs.get(rows.needs.strips ? webUm : ANY_WIDTH) ?? [];

function filmRows(
  draft: Draft,
  { needs, given, unitM2, late }: FilmRows,
  web: number,
  arrived: FilmDraft['arrived'],
): number[] {
  return given.days.map((day, d) => {
    const there = (given.film.get(web)?.[d] ?? 0) + (arrived?.get(web)?.[d] ?? 0);
    const asked = needs.strips ? 0 : (given.areaM2[d] as number);
    const row = draft.addRow('>=', (asked - there) / unitM2);
    const next = given.days[d + 1];
    if (next !== undefined)
      late.push(draft.addColumn(needs.latePerM2Day * (next - day) * unitM2, [[row, 1]]));
    return row;
  });
}

/** Film of all widths together stands for what is needed by area. */
function addArea(draft: Draft, rows: FilmRows): void {
  rows.given.areaM2.forEach((areaM2, d) => {
    if (areaM2 <= 0) return;
    const share = areaM2 / rows.unitM2;
    const row = draft.addRow('>=', share);
    for (const film of rows.webs.values())
      draft.addColumn(0, [
        [film[d] as number, -1],
        [row, 1],
      ]);
    rows.area.push({ d, row, share });
  });
}

function addStrips(draft: Draft, rows: FilmRows, sets: boolean): void {
  const cutDays = new Set<number>();
  for (const { strip, byDay } of rows.given.strips)
    byDay.forEach((m2, d) => {
      if (m2 <= (byDay[d - 1] ?? 0) + 1e-9) return;
      cutDays.add(d);
      const share = m2 / rows.unitM2;
      rows.strips.push({ strip, d, share, row: sets ? draft.addRow('>=', share) : -1 });
    });
  rows.cutDays = [...cutDays].sort((a, b) => a - b);
}

/** A column: so much film of a width is cut into a set on a day. */
export function addSet(draft: Draft, rows: FilmRows, set: FilmSet, d: number): number {
  const film = (rows.webs.get(set.at.webUm) ?? []).slice(d).map((row): [number, number] => [row, -1]);
  const made = new Map(madeBy(set));
  const strips = rows.strips.flatMap((one): [number, number][] => {
    const m2 = one.d >= d ? made.get(one.strip) : undefined;
    return m2 === undefined ? [] : [[one.row, m2]];
  });
  return draft.addColumn(set.at.coatingPerM2 * rows.unitM2, [...film, ...strips]);
}

/** Where sets of this grade can be cut from film that it has or may get. */
export const sitesOf = ({ needs, webs }: FilmRows): CutSite[] =>
  [...webs.keys()].flatMap((web) => needs.strips?.cutting.sitesAt(web) ?? []);
