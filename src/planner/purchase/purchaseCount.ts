// What a purchase costs, counted from its lines alone: film at the price that its mass gives, orders, freight, stock, and what
// becomes of the film (purchaseCutting.ts): what is late, and the coating of what is cut.
import { cutFilm, type FilmCut, type SetOfFilm } from './purchaseCutting.ts';
import type { FilmRows } from './purchaseFilm.ts';
import type { Lot } from './purchaseLines.ts';
import type { PurchaseProgram } from './purchaseProgram.ts';
import {
  type BuyingOffer,
  type BuyingTask,
  containerFill,
  containersFor,
  type SupplierTerms,
} from './purchaseTask.ts';

export interface OrderLine {
  offer: string;
  grade: string;
  supplier: string;
  arrivesDay: number;
  widthUm: number;
  rolls: number;
  kg: number;
  pricePerKg: number;
  /** Film as paid. */
  cost: number;
}

/** Lines of one supplier that arrive on one day. */
export interface PlacedOrder {
  supplier: string;
  arrivesDay: number;
  value: number;
  kg: number;
  rolls: number;
  containers: number;
  /** Share of its containers that is filled; undefined without containers. */
  fill: number | undefined;
  freight: number;
}

export interface BuyingPlan {
  lines: OrderLine[];
  orders: PlacedOrder[];
  film: number;
  ordering: number;
  freight: number;
  holding: number;
  late: number;
  /** Of the film that is cut into known strips. */
  coating: number;
  /** Of these grades film comes late, at this cost. */
  lateOf: { grade: string; cost: number }[];
  /** What the film is cut into, that of the house and on the way among it. */
  sets: SetOfFilm[];
  total: number;
  /** No way to buy costs less than this; equal to `total` when that is proved. */
  bound: number;
  proved: boolean;
}

/** The lots of an offer on a day, width by width, at the price that their mass gives together. */
export function linesOf(lots: readonly Lot[], x: readonly number[]): OrderLine[] {
  const rolls = new Map<string, { offer: BuyingOffer; day: number; rolls: number }>();
  for (const { offer, day, column } of lots) {
    const many = Math.round(x[column] as number) * offer.groupRolls;
    if (many === 0) continue;
    const key = JSON.stringify([offer.code, day, offer.widthUm]);
    rolls.set(key, { offer, day, rolls: many + (rolls.get(key)?.rolls ?? 0) });
  }
  const lines = [...rolls.values()];
  return lines
    .map(({ offer, day, rolls: many }) => {
      const together = lines.filter((one) => one.offer.code === offer.code && one.day === day);
      const pricePerKg = priceFor(
        offer,
        sum(together, (one) => one.rolls * one.offer.rollKg),
      );
      const kg = many * offer.rollKg;
      const { code, grade, supplier, widthUm } = offer;
      const head = { offer: code, grade, supplier, arrivesDay: day, widthUm };
      return { ...head, rolls: many, kg, pricePerKg, cost: kg * pricePerKg };
    })
    .sort((a, b) => a.arrivesDay - b.arrivesDay || a.offer.localeCompare(b.offer) || a.widthUm - b.widthUm);
}

/** The price per kg that holds for so much in one order. */
const priceFor = ({ breakFromKg, breakPricePerKg, pricePerKg }: BuyingOffer, kg: number): number =>
  breakFromKg !== undefined && kg >= breakFromKg - 1e-9 ? (breakPricePerKg as number) : pricePerKg;

const sum = <One>(all: readonly One[], of: (one: One) => number): number =>
  all.reduce((s, one) => s + of(one), 0);

export interface Counted extends Omit<BuyingPlan, 'bound' | 'proved'> {
  /** The film does not make all that is wanted: this is no purchase. */
  missing: boolean;
  cuts: FilmCut[];
}

/** A share of a grade's need that is not worth a word. */
const NOTHING = 1e-6;

/** Every cost from the lines alone. */
export function countUp(
  task: BuyingTask,
  { film, calendar }: Pick<PurchaseProgram, 'film' | 'calendar'>,
  lines: readonly OrderLine[],
  secondsLeft: () => number,
): Counted {
  const orders = ordersOf(task.terms, lines);
  const became = film.map((rows) => ({ grade: rows.grade, ...remembered(task, rows, lines, secondsLeft) }));
  const holding = sum(
    lines,
    ({ cost, arrivesDay }) =>
      (cost * task.costs.holdingShare * Math.max(0, calendar.buckets.end - arrivesDay)) / 365,
  );
  const paid = {
    film: sum(lines, ({ cost }) => cost),
    ordering: orders.length * task.costs.perOrder,
    freight: sum(orders, (order) => order.freight),
    holding,
    late: sum(became, ({ late }) => late),
    coating: sum(became, ({ coating }) => coating),
  };
  return {
    ...{ lines: [...lines], orders, ...paid },
    lateOf: became.filter(({ late }) => late > 0.005).map(({ grade, late }) => ({ grade, cost: late })),
    sets: became.flatMap(({ sets }) => sets),
    total: sum(Object.values(paid), (cost) => cost),
    missing: became.some(({ missing }) => missing > NOTHING),
    cuts: became.flatMap(({ cut }) => cut ?? []),
  };
}

interface Became {
  late: number;
  coating: number;
  missing: number;
  sets: SetOfFilm[];
  cut: FilmCut | undefined;
}

const known = new WeakMap<FilmRows, Map<string, Became>>();

/** The same lines are cut once: of many grades most stay as they are from one purchase to the next. */
function remembered(
  task: BuyingTask,
  rows: FilmRows,
  lines: readonly OrderLine[],
  secondsLeft: () => number,
): Became {
  const own = lines.filter(({ grade }) => grade === rows.grade);
  const key = JSON.stringify(
    own.map(({ offer, widthUm, arrivesDay, rolls }) => [offer, widthUm, arrivesDay, rolls]),
  );
  const all = known.get(rows) ?? new Map<string, Became>();
  known.set(rows, all);
  const found = all.get(key) ?? becomes(task, rows, own, secondsLeft);
  all.set(key, found);
  return found;
}

function becomes(
  task: BuyingTask,
  { grade, needs, given, webs }: FilmRows,
  lines: readonly OrderLine[],
  secondsLeft: () => number,
): Became {
  const offers = task.offers.filter((offer) => offer.grade === grade);
  const m2 = ({ offer, widthUm, rolls }: OrderLine): number =>
    rolls * (offers.find((one) => one.code === offer && one.widthUm === widthUm)?.rollM2 ?? 0);
  const arrivedBy = (of: readonly OrderLine[]): number[] =>
    given.days.map((day) => sum(of, (line) => (line.arrivesDay <= day ? m2(line) : 0)));
  if (!needs.strips)
    return { ...byArea(needs.latePerM2Day, given, arrivedBy(lines)), sets: [], cut: undefined };
  const arrived = new Map(
    [...webs.keys()].map((web) => [web, arrivedBy(lines.filter((line) => line.widthUm === web))]),
  );
  const dearest = Math.max(1e-3, ...offers.map((one) => (one.pricePerKg * one.rollKg) / one.rollM2));
  return cutFilm(needs, given, [...webs.keys()], arrived, MISSING_TIMES * dearest, secondsLeft);
}

/** Film that is missing at the end is dearer than any way of buying it. */
const MISSING_TIMES = 1000;

/** Square metres that are missing, each times the days for which it is. */
function byArea(
  latePerM2Day: number,
  { days, areaM2 }: FilmRows['given'],
  arrived: readonly number[],
): Pick<Became, 'late' | 'coating' | 'missing'> {
  const lack = (d: number): number => Math.max(0, (areaM2[d] as number) - (arrived[d] as number));
  const late = days
    .slice(0, -1)
    .reduce((m2Days, day, d) => m2Days + lack(d) * ((days[d + 1] as number) - day), 0);
  return {
    late: latePerM2Day * late,
    coating: 0,
    missing: lack(days.length - 1) / Math.max(1, areaM2.at(-1) ?? 0),
  };
}

function ordersOf(terms: readonly SupplierTerms[], lines: readonly OrderLine[]): PlacedOrder[] {
  const placed = new Map<string, OrderLine[]>();
  for (const line of lines) {
    const key = JSON.stringify([line.arrivesDay, line.supplier]);
    placed.set(key, [...(placed.get(key) ?? []), line]);
  }
  return [...placed.values()].map((own) => {
    const { supplier, arrivesDay } = own[0] as OrderLine;
    const its = terms.find((one) => one.supplier === supplier);
    const kg = sum(own, (line) => line.kg);
    const rolls = sum(own, (line) => line.rolls);
    const containers = containersFor(its, kg, rolls);
    return {
      supplier,
      arrivesDay,
      value: sum(own, ({ cost }) => cost),
      kg,
      rolls,
      containers,
      fill: containerFill(its, kg, rolls),
      freight: containers * (its?.containerCost ?? 0),
    };
  });
}
