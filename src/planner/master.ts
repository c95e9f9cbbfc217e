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
}

export interface MasterSolution {
  objective: number;
  /** Value of each column. */
  values: number[];
  worth: Worth;
  /** Dual of each row. */
  duals: number[];
}

export interface Master {
  columns: Column[];
  rows: LpRow[];
  /** False when the column is there already. */
  add(column: Column): boolean;
  has(column: Column): boolean;
  entriesOf(column: Column): Entry[];
  solve(): MasterSolution;
  dispose(): void;
}

export function openMaster(model: Model, remaining: Remaining): Master {
  const families: PlanRows[] = [];
  const rows: LpRow[] = [];
  for (const make of planRows) {
    const family = make(model, remaining, rows.length);
    families.push(family);
    rows.push(...family.rows);
  }
  const lp = openLp(rows);
  const columns: Column[] = [];
  const keys = new Set<string>();
  const entriesOf = (column: Column) => entries(model, families, column);
  return {
    columns,
    rows,
    has: (column) => keys.has(column.key),
    entriesOf,
    add(column) {
      if (keys.has(column.key)) return false;
      keys.add(column.key);
      columns.push(column);
      lp.addColumn(column.cost, entriesOf(column));
      return true;
    },
    solve() {
      const { x, y, objective } = lp.solve();
      return { objective, values: x, duals: y, worth: readWorth(model, families, y) };
    },
    dispose: lp.dispose,
  };
}

function entries(model: Model, families: PlanRows[], column: Column): Entry[] {
  const sum = new Map<number, number>();
  const add = (list: Entry[] | undefined, times: number) => {
    for (const [row, value] of list ?? []) sum.set(row, (sum.get(row) ?? 0) + times * value);
  };
  for (const family of families) {
    if (column.kind === 'short') add(family.ofShort?.(column.demand), 1);
    if (column.kind === 'unplaced') add(family.ofSlot?.(column.site), 1);
    if (column.kind === 'layout') {
      add(family.ofRoll?.(column.layout.source), 1);
      for (const [site, n] of setsOf(model, column.layout)) add(family.ofSlot?.(site), n);
    }
    if (column.kind === 'pattern') {
      const site = model.sites[column.pattern.site];
      add(family.ofSet?.(site.index), 1);
      if (site.wholeRollOf !== undefined) add(family.ofRoll?.(site.wholeRollOf), 1);
      column.pattern.counts.forEach((n, k) => {
        if (n > 0) add(family.ofStrip?.(site.demands[k]), n);
      });
    }
  }
  return [...sum].filter(([, value]) => value !== 0).sort((a, b) => a[0] - b[0]);
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
  };
}
