// What to buy of one grade, when, and from whom: a covering program over days of need. A column is one order: an offer, the
// day it arrives, a number of whole rolls that the offer allows (least order, multiples, price break), chosen so that it
// covers the need up to some later day. Rows: what has arrived by a day covers what is needed by it, or is late at a
// price. Solved by branch and bound (Land and Doig 1960) over linear programs with certificates. Areas m2, money, days.
import { openLp } from './lp.ts';

export interface BuyingOffer {
  code: string;
  rollKg: number;
  /** What a roll does for the need: its area times how well its width suits the orders. */
  rollM2: number;
  pricePerKg: number;
  breakFromKg: number | undefined;
  breakPricePerKg: number | undefined;
  minOrderKg: number;
  multipleKg: number | undefined;
  multipleRolls: number | undefined;
  /** Days from now until it can be here, its spread included. */
  earliestDay: number;
}

/** Film that is needed on a day beyond all days before, counted from today. */
export interface NeedOnDay {
  day: number;
  areaM2: number;
}

export interface BuyingCosts {
  perOrder: number;
  /** Share of the price that lying in stock costs in a year. */
  holdingShare: number;
  latePerM2Day: number;
}

export interface OrderLine {
  offer: string;
  arrivesDay: number;
  rolls: number;
  kg: number;
  pricePerKg: number;
  /** Film as paid. */
  cost: number;
}

export interface BuyingPlan {
  lines: OrderLine[];
  film: number;
  ordering: number;
  holding: number;
  late: number;
  total: number;
  /** No way to buy costs less than this; equal to `total` when that is proved. */
  bound: number;
  proved: boolean;
}

interface Column extends OrderLine {
  m2: number;
  objective: number;
  holding: number;
}

const MOST_DAYS = 14;
const NEVER = 1000;
const MOST_NODES = 300;
const WHOLE = 1e-6;

/** The smallest number of rolls from `atLeast` on that the offer allows. */
export function allowedRolls(offer: BuyingOffer, atLeast: number): number {
  let rolls = Math.max(1, Math.ceil(Math.max(atLeast, offer.minOrderKg / offer.rollKg) - 1e-9));
  if (offer.multipleRolls) rolls = Math.ceil(rolls / offer.multipleRolls) * offer.multipleRolls;
  if (offer.multipleKg) {
    // A full pallet or container holds whole rolls only; a roll heavier than it stands for one.
    const inOne = offer.multipleKg / offer.rollKg;
    for (let many = 1; ; many += 1) {
      const full = Math.max(many, Math.floor(many * inOne + 1e-9));
      if (full >= rolls) return full;
    }
  }
  return rolls;
}

/** Undefined when nothing is needed or no offer is there. */
export function planPurchases(
  needs: readonly NeedOnDay[],
  offers: readonly BuyingOffer[],
  costs: BuyingCosts,
  only: { oneOrder?: boolean } = {},
): BuyingPlan | undefined {
  const days = daysOf(needs, offers);
  const last = days.at(-1);
  if (last === undefined || last.neededM2 <= 0 || offers.length === 0) return undefined;
  const columns = columnsOf(days, offers, costs, only.oneOrder ?? false);
  // By the last day all of it is bought: whatever has not come then costs more than any way of buying it.
  const never = NEVER * Math.max(...columns.map(({ objective, m2 }) => objective / m2));
  const lateCost = days.map(({ day }, d) => {
    const next = days[d + 1]?.day;
    return next === undefined ? never : costs.latePerM2Day * (next - day);
  });
  const found = branch(columns, days, lateCost);
  return asPlan(found, columns, costs);
}

interface Day {
  day: number;
  /** Needed up to this day, in all. */
  neededM2: number;
}

/** Days on which something is needed or could first arrive; neighbours are put together on the earlier when there are many. */
function daysOf(needs: readonly NeedOnDay[], offers: readonly BuyingOffer[]): Day[] {
  const wanted = needs.filter(({ areaM2 }) => areaM2 > 1e-6).sort((a, b) => a.day - b.day);
  const size = Math.ceil(wanted.length / MOST_DAYS);
  const kept = wanted.map((_, i) => (wanted[i - (i % size)] as NeedOnDay).day);
  const all = [...new Set([...kept, ...offers.map(({ earliestDay }) => earliestDay)])].sort((a, b) => a - b);
  return all.map((day) => ({
    day,
    neededM2: wanted.reduce((m2, need, i) => ((kept[i] as number) <= day ? m2 + need.areaM2 : m2), 0),
  }));
}

function columnsOf(
  days: readonly Day[],
  offers: readonly BuyingOffer[],
  costs: BuyingCosts,
  oneOrder: boolean,
): Column[] {
  const end = (days.at(-1) as Day).day;
  return offers.flatMap((offer) =>
    days.flatMap(({ day }, d) => {
      if (day < offer.earliestDay) return [];
      const before = day <= offer.earliestDay || oneOrder ? 0 : ((days[d - 1]?.neededM2 ?? 0) as number);
      const upTo = (oneOrder ? days.slice(-1) : days.slice(d)).map(({ neededM2 }) => neededM2 - before);
      const wanted = upTo.filter((m2) => m2 > 0).map((m2) => allowedRolls(offer, m2 / offer.rollM2));
      if (wanted.length === 0) return [];
      if (offer.breakFromKg) wanted.push(allowedRolls(offer, offer.breakFromKg / offer.rollKg));
      return [...new Set(wanted)].map((rolls) => columnOf(offer, day, rolls, end, costs));
    }),
  );
}

function columnOf(offer: BuyingOffer, day: number, rolls: number, end: number, costs: BuyingCosts): Column {
  const kg = rolls * offer.rollKg;
  const lower = offer.breakFromKg !== undefined && kg >= offer.breakFromKg - 1e-9;
  const pricePerKg = lower ? (offer.breakPricePerKg as number) : offer.pricePerKg;
  const cost = kg * pricePerKg;
  const holding = (cost * costs.holdingShare * (end - day)) / 365;
  const objective = cost + costs.perOrder + holding;
  return {
    offer: offer.code,
    arrivesDay: day,
    rolls,
    kg,
    pricePerKg,
    cost,
    m2: rolls * offer.rollM2,
    objective,
    holding,
  };
}

interface Found {
  x: number[];
  total: number;
  late: number;
  bound: number;
  proved: boolean;
}

type Limit = { column: number; sense: '>=' | '<='; value: number };

/** Depth first, the branch with more of the order first: it finds whole plans soon. */
function branch(columns: readonly Column[], days: readonly Day[], lateCost: readonly number[]): Found {
  let best: Found | undefined;
  const open: { limits: Limit[]; bound: number }[] = [{ limits: [], bound: 0 }];
  let nodes = 0;
  const worth = (bound: number): boolean =>
    best === undefined || bound < best.total - 1e-6 * Math.max(1, best.total);
  while (open.length > 0 && nodes < MOST_NODES) {
    const node = open.pop() as { limits: Limit[]; bound: number };
    if (!worth(node.bound)) continue;
    nodes += 1;
    const relaxed = relax(columns, days, lateCost, node.limits);
    const rounded = roundedUp(relaxed.x, columns, days, lateCost);
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
  columns: readonly Column[],
  days: readonly Day[],
  lateCost: readonly number[],
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
  return { x: Array.from(x).slice(0, columns.length), objective };
}

/** Rounds up where much is taken, adds what is still cheapest, leaves out what is not missed. */
function roundedUp(
  relaxed: readonly number[],
  columns: readonly Column[],
  days: readonly Day[],
  lateCost: readonly number[],
): { x: number[]; total: number; late: number } {
  const x = relaxed.map((value) => Math.ceil(value - 0.5 + WHOLE));
  const now = () => costOf(x, columns, days, lateCost);
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
  columns: readonly Column[],
  days: readonly Day[],
  lateCost: readonly number[],
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

function asPlan(found: Found, columns: readonly Column[], costs: BuyingCosts): BuyingPlan {
  const taken = columns.flatMap((column, j) => Array.from({ length: found.x[j] as number }, () => column));
  const lines = taken.map(({ m2: _m2, objective: _objective, holding: _holding, ...line }) => line);
  return {
    lines: lines.sort((a, b) => a.arrivesDay - b.arrivesDay || a.offer.localeCompare(b.offer)),
    film: taken.reduce((sum, { cost }) => sum + cost, 0),
    ordering: taken.length * costs.perOrder,
    holding: taken.reduce((sum, { holding }) => sum + holding, 0),
    late: found.late,
    total: found.total,
    bound: found.bound,
    proved: found.proved,
  };
}
