// The restricted master problem: the rows of planRows for what remains to be planned, and the columns found so far.
// Its duals, read as worth of a strip, a set, a roll and a slot, tell pricing what to look for.
import { type Column, setsOf } from './columns.ts';
import { type Entry, type LpRow, openLp } from './lp.ts';
import type { Model } from './model.ts';
import type { PlanRows } from './planRows/row.ts';
import { planRows } from './planRows/rows.ts';
import type { Remaining } from './remaining.ts';

/** What the duals say each thing is worth, in money. */
export interface Worth {
  strip: number[];
  set: number[];
  roll: number[];
  slot: number[];
  /** Of each offer, film as much as its minimum order. */
  extra: number[];
}

export interface MasterSolution {
  objective: number;
  /** Value of each column. */
  values: number[];
  worth: Worth;
}

export interface Master {
  columns: Column[];
  rows: LpRow[];
  /** False when the column is there already. */
  add(column: Column): boolean;
  solve(): MasterSolution;
  dispose(): void;
}

export function openMaster(model: Model, remaining: Remaining): Master {
  const { rows, families, entriesOf } = openRows(model, remaining);
  const lp = openLp(rows);
  const columns: Column[] = [];
  const keys = new Set<string>();
  return {
    columns,
    rows,
    add(column) {
      if (keys.has(column.key)) return false;
      keys.add(column.key);
      columns.push(column);
      lp.addColumn(column.cost, entriesOf(column));
      return true;
    },
    solve() {
      const { x, y, objective } = lp.solve();
      return { objective, values: x, worth: readWorth(model, families, y) };
    },
    dispose: lp.dispose,
  };
}

export interface Rows {
  rows: LpRow[];
  families: PlanRows[];
  entriesOf(column: Column): Entry[];
}

/** All rows for what remains, and how each kind of column enters them. */
export function openRows(model: Model, remaining: Remaining): Rows {
  const families: PlanRows[] = [];
  const rows: LpRow[] = [];
  for (const make of planRows) {
    const family = make(model, remaining, rows.length);
    families.push(family);
    rows.push(...family.rows);
  }
  return { rows, families, entriesOf: (column) => entries(model, families, column) };
}

function entries(model: Model, families: PlanRows[], column: Column): Entry[] {
  const sum = new Map<number, number>();
  for (const family of families) {
    for (const [list, times] of parts(model, family, column)) {
      for (const [row, value] of list ?? []) sum.set(row, (sum.get(row) ?? 0) + times * value);
    }
  }
  return [...sum].filter(([, value]) => value !== 0).sort((a, b) => a[0] - b[0]);
}

/** What a column is made of, in the eyes of one family of rows. */
function parts(model: Model, family: PlanRows, column: Column): [Entry[] | undefined, number][] {
  switch (column.kind) {
    case 'short':
      return [[family.ofShort?.(column.demand), 1]];
    case 'extra':
      return [[family.ofExtra?.(column.offer), 1]];
    case 'unplaced':
      return [[family.ofSlot?.(column.site), 1]];
    case 'layout': {
      const slots = [...setsOf(model, column.layout)];
      return [
        [family.ofRoll?.(column.layout.source), 1],
        ...slots.map(([site, n]): [Entry[] | undefined, number] => [family.ofSlot?.(site), n]),
      ];
    }
    case 'pattern': {
      const { index, demands, wholeRollOf } = model.sites[column.pattern.site];
      return [
        [family.ofSet?.(index), 1],
        [wholeRollOf === undefined ? undefined : family.ofRoll?.(wholeRollOf), 1],
        ...column.pattern.counts.map((n, k): [Entry[] | undefined, number] => [
          family.ofStrip?.(demands[k]),
          n,
        ]),
      ];
    }
  }
}

function readWorth(model: Model, families: PlanRows[], duals: number[]): Worth {
  const dot = (pick: (family: PlanRows) => Entry[] | undefined) =>
    families.reduce(
      (sum, family) => (pick(family) ?? []).reduce((s, [row, value]) => s + value * duals[row], sum),
      0,
    );
  return {
    strip: model.demands.map((_, d) => dot((family) => family.ofStrip?.(d))),
    set: model.sites.map((site) => dot((family) => family.ofSet?.(site.index))),
    roll: model.sources.map((source) => dot((family) => family.ofRoll?.(source.index))),
    slot: model.sites.map((site) => dot((family) => family.ofSlot?.(site.index))),
    extra: model.offers.map((_, o) => dot((family) => family.ofExtra?.(o))),
  };
}
