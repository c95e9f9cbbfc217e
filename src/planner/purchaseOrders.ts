// Branch and bound (Land and Doig 1960) over the covering program of purchases: what has arrived by a day covers what is
// needed by it, or is late at a price. Linear programs come with certificates (lp.ts). Areas m2, money.
import { openLp } from './lp.ts';
import type { Column, Day } from './purchaseColumns.ts';

const MOST_NODES = 300;
const WHOLE = 1e-6;

/** Days with their need in all, the orders that can be placed, and what a m2 that is late from a day to the next costs. */
export interface Covering {
  days: readonly Day[];
  columns: readonly Column[];
  lateCost: readonly number[];
}

export interface Found {
  /** How often each order is placed. */
  x: number[];
  total: number;
  late: number;
  bound: number;
  proved: boolean;
}

type Limit = { column: number; sense: '>=' | '<='; value: number };

/** The cheapest whole orders. Depth first, the branch with more of the order first: it finds whole plans soon. */
export function cheapestOrders(covering: Covering): Found {
  let best: Found | undefined;
  const open: { limits: Limit[]; bound: number }[] = [{ limits: [], bound: 0 }];
  let nodes = 0;
  const worth = (bound: number): boolean =>
    best === undefined || bound < best.total - 1e-6 * Math.max(1, best.total);
  while (open.length > 0 && nodes < MOST_NODES) {
    const node = open.pop() as { limits: Limit[]; bound: number };
    if (!worth(node.bound)) continue;
    nodes += 1;
    const relaxed = relax(covering, node.limits);
    const rounded = roundedUp(relaxed.x, covering);
    if (worth(rounded.total)) best = { ...rounded, bound: 0, proved: false };
    if (!worth(relaxed.objective)) continue;
    const split = mostSplit(relaxed.x);
    if (split < 0) continue;
    const value = relaxed.x[split] as number;
    const child = (sense: Limit['sense'], at: number) =>
      open.push({ limits: [...node.limits, { column: split, sense, value: at }], bound: relaxed.objective });
    child('<=', Math.floor(value));
    child('>=', Math.ceil(value));
  }
  const found = best as unknown as Found;
  const left = open.filter(({ bound }) => worth(bound)).map(({ bound }) => bound);
  return { ...found, bound: Math.min(found.total, ...left), proved: left.length === 0 };
}

function mostSplit(x: readonly number[]): number {
  let split = -1;
  let most = WHOLE;
  x.forEach((value, j) => {
    const away = Math.abs(value - Math.round(value));
    if (away > most) [split, most] = [j, away];
  });
  return split;
}

/** The relaxation; an order's share in a day is capped by the day's need, which keeps every whole plan and is tighter. */
function relax(
  { columns, days, lateCost }: Covering,
  limits: readonly Limit[],
): { x: number[]; objective: number } {
  const rows = days.map(({ neededM2 }) => ({ sense: '>=' as const, rhs: neededM2 > 0 ? 1 : 0 }));
  const lp = openLp([...rows, ...limits.map(({ sense, value }) => ({ sense, rhs: value }))]);
  columns.forEach((column, j) => {
    lp.addColumn(column.objective, [
      ...days.flatMap(({ day, neededM2 }, d) =>
        day >= column.arrivesDay && neededM2 > 0
          ? [[d, Math.min(1, column.m2 / neededM2)] as [number, number]]
          : [],
      ),
      ...limits.flatMap((limit, i) => (limit.column === j ? [[days.length + i, 1] as [number, number]] : [])),
    ]);
  });
  days.forEach(({ neededM2 }, d) => {
    if (neededM2 > 0) lp.addColumn((lateCost[d] as number) * neededM2, [[d, 1]]);
  });
  const { x, objective } = lp.solve();
  lp.dispose();
  return { x: x.slice(0, columns.length), objective };
}

/** Rounds up where much is taken, adds what is still cheapest, leaves out what is not missed. */
function roundedUp(
  relaxed: readonly number[],
  covering: Covering,
): { x: number[]; total: number; late: number } {
  const x = relaxed.map((value) => Math.ceil(value - 0.5 + WHOLE));
  const now = () => costOf(x, covering);
  let best = now();
  for (let better = true; better; ) {
    better = false;
    for (let j = 0; j < x.length; j += 1)
      for (const step of [1, -1]) {
        if ((x[j] as number) + step < 0) continue;
        x[j] = (x[j] as number) + step;
        const next = now();
        if (next.total < best.total - 1e-9) [best, better] = [next, true];
        else x[j] = (x[j] as number) - step;
      }
  }
  return { x: [...x], ...best };
}

function costOf(
  x: readonly number[],
  { columns, days, lateCost }: Covering,
): { total: number; late: number } {
  let late = 0;
  days.forEach(({ day, neededM2 }, d) => {
    let arrived = 0;
    columns.forEach((column, j) => {
      if (column.arrivesDay <= day) arrived += (x[j] as number) * column.m2;
    });
    late += Math.max(0, neededM2 - arrived) * (lateCost[d] as number);
  });
  return {
    total: late + columns.reduce((sum, column, j) => sum + (x[j] as number) * column.objective, 0),
    late,
  };
}
