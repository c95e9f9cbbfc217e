// The restricted master problem: the rows of planRows for what remains to be planned, and the columns found so far.
// Its duals, read as worth of a strip, a set, a roll and a slot, tell pricing what to look for.
import { type Column, setsOf } from '../model/columns.ts';
import type { Model } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import type { PlanRows } from '../planRows/row.ts';
import { planRows } from '../planRows/rows.ts';
import { type Entry, type LpRow, openLp } from '../solvers/lp.ts';

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
  const { rows, entriesOf, entriesOfThing } = openRows(model, remaining);
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
      return { objective, values: x, worth: readWorth(model, entriesOfThing, y) };
    },
    dispose: lp.dispose,
  };
}

export interface Rows {
  rows: LpRow[];
  entriesOf(column: Column): Entry[];
  /** What one strip, set, roll ... enters in all families together. */
  entriesOfThing: EntriesOfThing;
  /** A family of rows that an integer program has beside; columns made from now on enter it too. */
  addFamily(family: PlanRows): void;
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
  const gathered = new Map<string, Entry[]>();
  const entriesOfThing: EntriesOfThing = (thing, index) => {
    const key = `${thing} ${index}`;
    const list = gathered.get(key) ?? families.flatMap((family) => family[thing]?.(index) ?? []);
    gathered.set(key, list);
    return list;
  };
  return {
    rows,
    entriesOfThing,
    entriesOf: (column) => sumOf(partsOf(model, column), entriesOfThing),
    addFamily(family) {
      families.push(family);
      gathered.clear();
    },
  };
}

type Thing = Exclude<keyof PlanRows, 'rows'>;
type EntriesOfThing = (thing: Thing, index: number) => Entry[];

type Part = [thing: Thing, index: number, times: number];

/** What a column is made of. */
function partsOf(model: Model, column: Column): Part[] {
  switch (column.kind) {
    case 'short':
      return [['ofShort', column.demand, 1]];
    case 'extra':
      return [['ofExtra', column.offer, 1]];
    case 'unplaced':
      return [['ofSlot', column.site, 1]];
    case 'layout': {
      const slots = [...setsOf(model, column.layout)];
      return [['ofRoll', column.layout.source, 1], ...slots.map(([site, n]): Part => ['ofSlot', site, n])];
    }
    case 'pattern': {
      const { index, demands, wholeRollOf } = model.sites[column.pattern.site];
      const parts: Part[] = [['ofSet', index, 1]];
      if (wholeRollOf !== undefined) parts.push(['ofRoll', wholeRollOf, 1]);
      column.pattern.counts.forEach((n, k) => {
        if (n > 0) parts.push(['ofStrip', demands[k], n]);
      });
      return parts;
    }
  }
}

/** Entries by row, each row once. */
function sumOf(parts: Part[], entriesOfThing: EntriesOfThing): Entry[] {
  const sum: Entry[] = [];
  for (const [thing, index, times] of parts) {
    for (const [row, value] of entriesOfThing(thing, index)) {
      const known = sum.find((entry) => entry[0] === row);
      if (known) known[1] += times * value;
      else sum.push([row, times * value]);
    }
  }
  return sum.filter(([, value]) => value !== 0).sort((a, b) => a[0] - b[0]);
}

function readWorth(model: Model, entriesOfThing: EntriesOfThing, duals: number[]): Worth {
  const worthOf = (thing: Thing) => (_: unknown, index: number) => {
    let sum = 0;
    for (const [row, value] of entriesOfThing(thing, index)) sum += value * duals[row];
    return sum;
  };
  return {
    strip: model.demands.map(worthOf('ofStrip')),
    set: model.sites.map(worthOf('ofSet')),
    roll: model.sources.map(worthOf('ofRoll')),
    slot: model.sites.map(worthOf('ofSlot')),
    extra: model.offers.map(worthOf('ofExtra')),
  };
}
