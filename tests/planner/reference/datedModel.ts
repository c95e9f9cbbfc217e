// Small dated states written out in full: which sets are cut from which roll on which day. One slitter without set-up
// times, one finished length, rolls that are ready on days, orders with days. The slitter works set by set, all of equal
// time that divides a day, so that a choice of sets can be put in time exactly where, from each day on which film becomes
// ready to each later day, they take no more than there is (Horn, Naval Research Logistics Quarterly 21 (1974) 177).
import { type Column, OPTIMAL, solveMip } from './highsMip.ts';

export interface DatedState {
  /** Sets that the slitter can cut on each day; as many days as are looked at. */
  setsOn: number[];
  trimUm: number;
  rolls: { widthUm: number; sets: number; readyOn: number }[];
  /** Rolls of a width that are kept by a day (undefined: some day), and the most of them. */
  kept: { widthUm: number; least: number; most: number; by: number | undefined }[];
}

/** How many of `least` rolls of a width cannot be made by the end of that day beside what is kept; undefined: not solved. */
export function fewestMissing(
  state: DatedState,
  asked: { widthUm: number; least: number; most: number; by: number },
): number | undefined {
  const wanted = [...state.kept, asked];
  const last = state.setsOn.length - 1;
  const rows: { lower: number; upper: number }[] = [];
  const columns: Column[] = [{ cost: 1, upper: asked.least, whole: true, entries: [] }];
  const row = (lower: number, upper: number) => rows.push({ lower, upper }) - 1;
  const made = wanted.map(({ least, most, by }) => ({
    inTime: row(least, Number.POSITIVE_INFINITY),
    atAll: row(0, most),
    by: by ?? last,
  }));
  columns[0]!.entries.push([made.at(-1)!.inTime, 1]);
  const ofRoll = state.rolls.map(({ sets }) => row(0, sets));
  const hours: { from: number; to: number; row: number }[] = [];
  for (const from of new Set(state.rolls.map(({ readyOn }) => readyOn)))
    for (let to = from; to <= last; to++) {
      const there = state.setsOn.slice(from, to + 1).reduce((sum, sets) => sum + sets, 0);
      hours.push({ from, to, row: row(0, there) });
    }
  for (const [r, roll] of state.rolls.entries())
    for (const counts of patterns(
      wanted.map(({ widthUm }) => widthUm),
      roll.widthUm - state.trimUm,
    ))
      for (let day = roll.readyOn; day <= last; day++) {
        const strips = counts.flatMap((n, k): [number, number][] => {
          if (n === 0) return [];
          const { inTime, atAll, by } = made[k]!;
          return day <= by
            ? [
                [inTime, n],
                [atAll, n],
              ]
            : [[atAll, n]];
        });
        const work = hours.flatMap(({ from, to, row }): [number, number][] =>
          from <= roll.readyOn && day <= to ? [[row, 1]] : [],
        );
        const entries = [...strips, [ofRoll[r]!, 1] as [number, number], ...work];
        columns.push({ cost: 0, upper: roll.sets, whole: true, entries });
      }
  const { status, cost } = solveMip(rows, columns, { seconds: 20 });
  return status === OPTIMAL ? Math.round(cost) : undefined;
}

/** Every choice of strips that fits, none of it empty. */
function patterns(widths: number[], usable: number): number[][] {
  const grow = (k: number, left: number): number[][] => {
    if (k === widths.length) return [[]];
    const most = Math.floor(left / widths[k]!);
    return Array.from({ length: most + 1 }, (_, n) => n).flatMap((n) =>
      grow(k + 1, left - n * widths[k]!).map((rest) => [n, ...rest]),
    );
  };
  return grow(0, usable).filter((counts) => counts.some((n) => n > 0));
}
