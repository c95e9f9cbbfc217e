// A linear program that is being written down, as it is relaxed (lp.ts) and as it is solved in whole numbers (highs.ts): rows are
// one-sided, columns may get their entries later.
import type { MipModel } from '../solvers/highs.ts';
import type { Entry, LpRow } from '../solvers/lp.ts';

export interface Draft {
  rows: LpRow[];
  mip: MipModel;
  addRow(sense: LpRow['sense'], rhs: number): number;
  addColumn(cost: number, entries?: Entry[], more?: { upper?: number; whole?: boolean }): number;
  put(column: number, row: number, value: number): void;
}

export function openDraft(): Draft {
  const rows: LpRow[] = [];
  const mip: MipModel = { rowLower: [], rowUpper: [], cost: [], columns: [], upper: [], whole: [] };
  return {
    rows,
    mip,
    addRow(sense, rhs) {
      rows.push({ sense, rhs });
      mip.rowLower.push(sense === '>=' ? rhs : -Infinity);
      mip.rowUpper.push(sense === '<=' ? rhs : Infinity);
      return rows.length - 1;
    },
    addColumn(cost, entries = [], { upper = Infinity, whole = false } = {}) {
      mip.cost.push(cost);
      mip.upper.push(upper);
      mip.whole.push(whole);
      mip.columns.push([...entries]);
      return mip.cost.length - 1;
    },
    put: (column, row, value) => (mip.columns[column] as Entry[]).push([row, value]),
  };
}
