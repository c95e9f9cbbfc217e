// An integer program in the making: rows and columns are added one by one, then it is handed to the solver.
import type { MipModel } from './highs.ts';
import type { Entry, LpRow } from './lp.ts';

export interface MipDraft {
  addRow(lower: number, upper: number): number;
  addColumn(cost: number, entries: Entry[], upper: number, whole: boolean): number;
  /** One more entry of a column that is there already. */
  addEntry(column: number, entry: Entry): void;
  /** The row's lower bound is its upper bound too. */
  makeEqual(row: number): void;
  columns(): number;
  model(): MipModel;
}

export function openDraft(rows: LpRow[]): MipDraft {
  const mip: MipModel = {
    rowLower: rows.map((row) => (row.sense === '>=' ? row.rhs : -Infinity)),
    rowUpper: rows.map((row) => (row.sense === '<=' ? row.rhs : Infinity)),
    cost: [],
    columns: [],
    upper: [],
    whole: [],
  };
  return {
    addRow(lower, upper) {
      mip.rowLower.push(lower);
      mip.rowUpper.push(upper);
      return mip.rowLower.length - 1;
    },
    addColumn(cost, entries, upper, whole) {
      mip.cost.push(cost);
      mip.columns.push([...entries]);
      mip.upper.push(upper);
      mip.whole.push(whole);
      return mip.cost.length - 1;
    },
    addEntry(column, entry) {
      mip.columns[column].push(entry);
    },
    makeEqual(row) {
      mip.rowUpper[row] = mip.rowLower[row];
    },
    columns: () => mip.cost.length,
    model: () => mip,
  };
}
