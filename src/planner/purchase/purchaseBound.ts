// Proof of a purchase. The program with generated sets can only be as good as its sets; here sets are left out and the film that
// may go into them obeys inequalities that hold for every way of cutting (FilmCut). What this costs at least, in whole rolls, no
// purchase can beat. Its purchases are cut in turn (purchaseCutting.ts): they may be better ones, and give sharper inequalities,
// until both meet (Benders 1962). The first inequalities say how much film the strips wanted by a day take at least.
import { stripValues } from '../bounding/leastFilm.ts';
import { solveMip } from '../solvers/highs.ts';
import { bestSet, type CutSite } from './filmCutting.ts';
import type { FilmCut } from './purchaseCutting.ts';
import type { FilmRows } from './purchaseFilm.ts';
import { type ProgramForm, type PurchaseProgram, purchaseProgram } from './purchaseProgram.ts';
import type { BuyingTask } from './purchaseTask.ts';

export interface Outer {
  bound: number;
  /** Its purchases, in the program's lots; undefined: none was found. */
  x: number[] | undefined;
  program: PurchaseProgram;
  ended: boolean;
}

/** What purchases cost at least that obey these inequalities. */
export function leastBuying(
  task: BuyingTask,
  cuts: readonly FilmCut[],
  form: Omit<ProgramForm, 'sets'>,
  limits: { nodes: number; seconds: number; absoluteGap: number },
): Outer {
  const program = purchaseProgram(task, { ...form, sets: false });
  const { draft, film } = program;
  for (const rows of film.filter(({ needs }) => needs.strips)) {
    const coating = draft.addColumn(1);
    for (const cut of cuts.filter(({ grade }) => grade === rows.grade)) {
      const row = draft.addRow('>=', cut.least);
      draft.put(coating, row, cut.coating);
      for (const [web, free] of rows.free)
        free.forEach((column, d) => {
          const worth = cut.film.get(web)?.[d] ?? 0;
          if (worth > 0) draft.put(column, row, worth);
        });
    }
  }
  const { bound, x, ended } = solveMip(draft.mip, limits);
  return { bound, x, program, ended };
}

/** How much film the strips wanted by each day take at least: from any width, and as each width values them. */
export function filmCuts(rows: FilmRows): FilmCut[] {
  const cutting = rows.needs.strips?.cutting;
  if (!cutting) return [];
  const webs = [...rows.webs.keys()];
  const sites = new Map(webs.map((web) => [web, cutting.sitesAt(web)]));
  const choices = [webs, ...(webs.length > 1 ? webs.map((web) => [web]) : [])];
  return rows.cutDays.flatMap((d) => {
    const wanted = rows.strips
      .filter((one) => one.d <= d)
      .reduce((all, one) => all.set(one.strip, one.share), new Map<number, number>());
    return choices.flatMap((choice) => {
      const found = stripValues(
        wanted,
        choice.flatMap((web) => sites.get(web) ?? []),
      );
      return found ? [cutAt(rows, sites, wanted, found.values, d)] : [];
    });
  });
}

/** Film of a width is worth what the best set makes of it: the inequality holds whatever the values are. */
function cutAt(
  rows: FilmRows,
  sites: ReadonlyMap<number, readonly CutSite[]>,
  wanted: ReadonlyMap<number, number>,
  value: ReadonlyMap<number, number>,
  d: number,
): FilmCut {
  const worth = (strip: number): number => value.get(strip) ?? 0;
  const best = (web: number): number =>
    Math.max(0, ...(sites.get(web) ?? []).map((at) => bestSet(at, worth, 0).upper));
  return {
    grade: rows.grade,
    film: new Map(
      [...sites.keys()].map((web) => [web, rows.given.days.map((_, day) => (day === d ? best(web) : 0))]),
    ),
    coating: 0,
    least: [...wanted].reduce((sum, [strip, share]) => sum + share * worth(strip), 0),
  };
}
