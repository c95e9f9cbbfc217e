// The master problem in whole numbers: an integer program over given columns, and its solution read back as a plan.
import { type Column, shortColumn } from './columns.ts';
import { type MipLimits, type MipResult, solveMip } from './highs.ts';
import { costed, type IntegerPlan } from './integerPlan.ts';
import { openMaster } from './master.ts';
import type { Model } from './model.ts';
import { everything } from './remaining.ts';

export interface ColumnMip {
  plan: IntegerPlan | undefined;
  result: MipResult;
}

/** The best plan that these columns can make, within the limits; `start` need not be made of them. */
export function solveColumnMip(
  model: Model,
  given: Column[],
  limits: MipLimits,
  start: IntegerPlan | undefined,
): ColumnMip {
  const remaining = everything(model);
  const master = openMaster(model, remaining);
  try {
    for (const column of given) if (column.kind !== 'unplaced') master.add(column);
    model.demands.forEach((demand, d) => {
      if (demand.min > 0) master.add(shortColumn(model, d));
    });
    const { columns, rows } = master;
    const mip = {
      rowLower: rows.map((row) => (row.sense === '>=' ? row.rhs : -Infinity)),
      rowUpper: rows.map((row) => (row.sense === '<=' ? row.rhs : Infinity)),
      cost: columns.map((column) => column.cost),
      columns: columns.map((column) => master.entriesOf(column)),
      upper: columns.map((column) => mostOf(model, column)),
      whole: columns.map(() => true),
    };
    const seeded = start ? { ...limits, start: valuesOf(model, columns, start) } : limits;
    const result = solveMip(mip, seeded);
    return { plan: result.x && readPlan(model, columns, result.x), result };
  } finally {
    master.dispose();
  }
}

/** The most times that a column can be useful. */
function mostOf(model: Model, column: Column): number {
  if (column.kind === 'short') return model.demands[column.demand].min;
  if (column.kind === 'layout') return model.stock[model.sources[column.layout.source].stock].count;
  if (column.kind === 'unplaced') return 0;
  const { demands } = model.sites[column.pattern.site];
  const most = column.pattern.counts.map((n, k) =>
    n > 0 ? Math.ceil(model.demands[demands[k]].max / n) : 0,
  );
  return Math.max(...most);
}

function valuesOf(model: Model, columns: Column[], plan: IntegerPlan): number[] {
  const wanted = new Map<string, number>();
  const add = (key: string, times: number) => wanted.set(key, (wanted.get(key) ?? 0) + times);
  for (const { pattern, times } of plan.sets) add(`p${pattern.site}:${pattern.counts.join(',')}`, times);
  for (const { layout, times } of plan.layouts) {
    const column = columns.find((c) => c.kind === 'layout' && c.layout === layout);
    if (column) add(column.key, times);
  }
  plan.short.forEach((n, d) => {
    add(`s${d}`, Math.min(n, model.demands[d].min));
  });
  return columns.map((column) => wanted.get(column.key) ?? 0);
}

function readPlan(model: Model, columns: Column[], x: number[]): IntegerPlan | undefined {
  const sets: IntegerPlan['sets'] = [];
  const layouts: IntegerPlan['layouts'] = [];
  for (const [j, column] of columns.entries()) {
    const times = Math.round(x[j]);
    if (Math.abs(x[j] - times) > 1e-5) return undefined;
    if (times <= 0) continue;
    if (column.kind === 'pattern') sets.push({ pattern: column.pattern, times });
    if (column.kind === 'layout') layouts.push({ layout: column.layout, times });
  }
  return costed(model, sets, layouts);
}
