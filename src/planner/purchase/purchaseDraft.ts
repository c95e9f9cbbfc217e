// A program that is being written down, as it is relaxed (lp.ts) and as it is solved in whole numbers (highs.ts): rows are
// one-sided, columns may get their entries later.
import type { MipModel } from '../solvers/highs.ts';
import type { Entry, LpRow } from '../solvers/lp.ts';
import { openDraft as openMipDraft } from '../solvers/mipDraft.ts';

export interface Draft {
  rows: LpRow[];
  mip: MipModel;
  addRow(sense: LpRow['sense'], rhs: number): number;
  addColumn(cost: number, entries?: Entry[], more?: { upper?: number; whole?: boolean }): number;
  put(column: number, row: number, value: number): void;
}

export function openDraft(): Draft {
  const rows: LpRow[] = [];
  const draft = openMipDraft([]);
  return {
    rows,
    mip: draft.model(),
    addRow(sense, rhs) {
      rows.push({ sense, rhs });
      return sense === '>=' ? draft.addRow(rhs, Infinity) : draft.addRow(-Infinity, rhs);
    },
    addColumn: (cost, entries = [], { upper = Infinity, whole = false } = {}) =>
      draft.addColumn(cost, entries, upper, whole),
    put: (column, row, value) => draft.addEntry(column, [row, value]),
  };
}
