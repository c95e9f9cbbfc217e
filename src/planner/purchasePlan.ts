// What to buy, when, and from whom: one program over buckets of time for all grades that share suppliers, since an order's
// cost, its least value and its containers are shared by its lines. The relaxation (lp.ts) says what no way to buy can beat;
// whole numbers come from the integer program (highs.ts), counted again here from the lines alone.
import { solveMip } from './highs.ts';
import { openLp } from './lp.ts';
import { type PurchaseProgram, purchaseProgram } from './purchaseProgram.ts';
import {
  type BuyingOffer,
  type BuyingTask,
  bucketsOf,
  containerFill,
  containersFor,
  type SupplierTerms,
} from './purchaseTask.ts';

export interface OrderLine {
  offer: string;
  grade: string;
  supplier: string;
  arrivesDay: number;
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
  /** Of these grades film comes late, at this cost. */
  lateOf: { grade: string; cost: number }[];
  total: number;
  /** No way to buy costs less than this; equal to `total` when that is proved. */
  bound: number;
  proved: boolean;
}

export interface Effort {
  nodes: number;
  secondsLeft: () => number;
}

export interface Asked {
  /** Offers that are not to be taken. */
  without?: readonly string[];
  /** All film of this grade comes in one line. */
  oneOrderOf?: string;
}

const UNHURRIED: Effort = { nodes: 5000, secondsLeft: () => Infinity };
const SAME = 1e-6;

/** Undefined when nothing is needed or no offer is there; grades without an offer are left out. */
export function planPurchases(
  task: BuyingTask,
  asked: Asked = {},
  effort = UNHURRIED,
): BuyingPlan | undefined {
  const offers = task.offers.filter(({ code }) => !asked.without?.includes(code));
  const grades = task.grades.filter(
    ({ grade, needs }) =>
      needs.some(({ areaM2 }) => areaM2 > SAME) && offers.some((offer) => offer.grade === grade),
  );
  if (grades.length === 0) return undefined;
  const wanted = new Set(grades.map(({ grade }) => grade));
  const whole = { ...task, grades, offers: offers.filter(({ grade }) => wanted.has(grade)) };
  const program = purchaseProgram(whole, asked.oneOrderOf);
  const relaxed = relaxation(program);
  const found = solveMip(program.mip, {
    nodes: effort.nodes,
    seconds: effort.secondsLeft(),
    absoluteGap: SAME * Math.max(1, relaxed),
  });
  if (!found.x) return undefined;
  const x = found.x;
  const lines = linesOf(program, x);
  const counted = countUp(whole, lines);
  const bound = Math.min(counted.total, Math.max(relaxed, found.bound));
  return { ...counted, lines, bound, proved: found.ended };
}

/** Plans of parts that share no supplier, as one. */
export function together(plans: readonly BuyingPlan[]): BuyingPlan {
  return {
    lines: plans.flatMap(({ lines }) => lines),
    orders: plans.flatMap(({ orders }) => orders),
    lateOf: plans.flatMap(({ lateOf }) => lateOf),
    film: sum(plans, ({ film }) => film),
    ordering: sum(plans, ({ ordering }) => ordering),
    freight: sum(plans, ({ freight }) => freight),
    holding: sum(plans, ({ holding }) => holding),
    late: sum(plans, ({ late }) => late),
    total: sum(plans, ({ total }) => total),
    bound: sum(plans, ({ bound }) => bound),
    proved: plans.every(({ proved }) => proved),
  };
}

function relaxation({ rows, mip }: PurchaseProgram): number {
  const lp = openLp(rows);
  for (const [j, entries] of mip.columns.entries()) lp.addColumn(mip.cost[j], entries);
  try {
    return lp.solve().objective;
  } finally {
    lp.dispose();
  }
}

/** The lots of an offer on a day as one line, at the price that its mass gives. */
function linesOf({ lots }: PurchaseProgram, x: readonly number[]): OrderLine[] {
  const rolls = new Map<string, { offer: BuyingOffer; day: number; rolls: number }>();
  for (const { offer, day, column } of lots) {
    const many = Math.round(x[column] as number) * offer.groupRolls;
    if (many === 0) continue;
    const key = JSON.stringify([offer.code, day]);
    rolls.set(key, { offer, day, rolls: many + (rolls.get(key)?.rolls ?? 0) });
  }
  return [...rolls.values()]
    .map(({ offer, day, rolls: many }) => {
      const kg = many * offer.rollKg;
      const pricePerKg = priceFor(offer, kg);
      const { code, grade, supplier } = offer;
      return {
        offer: code,
        grade,
        supplier,
        arrivesDay: day,
        rolls: many,
        kg,
        pricePerKg,
        cost: kg * pricePerKg,
      };
    })
    .sort((a, b) => a.arrivesDay - b.arrivesDay || a.offer.localeCompare(b.offer));
}

/** The price per kg that holds for so much in one order. */
const priceFor = ({ breakFromKg, breakPricePerKg, pricePerKg }: BuyingOffer, kg: number): number =>
  breakFromKg !== undefined && kg >= breakFromKg - 1e-9 ? (breakPricePerKg as number) : pricePerKg;

const sum = <One>(all: readonly One[], of: (one: One) => number): number =>
  all.reduce((s, one) => s + of(one), 0);

/** Every cost from the lines alone. */
function countUp(
  task: BuyingTask,
  lines: readonly OrderLine[],
): Omit<BuyingPlan, 'lines' | 'bound' | 'proved'> {
  const { days, end, neededM2 } = bucketsOf(task.grades, task.offers);
  const orders = ordersOf(task.terms, lines);
  const film = sum(lines, ({ cost }) => cost);
  const holding = sum(
    lines,
    ({ cost, arrivesDay }) => (cost * task.costs.holdingShare * Math.max(0, end - arrivesDay)) / 365,
  );
  const rollM2 = new Map(task.offers.map((offer) => [offer.code, offer.rollM2]));
  const lateOf = task.grades.map(({ grade, latePerM2Day }) => {
    const missing = missingFilm(
      lines.filter((line) => line.grade === grade),
      days,
      neededM2.get(grade) ?? [],
      (offer) => rollM2.get(offer) as number,
    );
    return { grade, cost: latePerM2Day * missing };
  });
  const late = sum(lateOf, ({ cost }) => cost);
  const ordering = orders.length * task.costs.perOrder;
  const freight = sum(orders, (order) => order.freight);
  return {
    orders,
    film,
    ordering,
    freight,
    holding,
    late,
    lateOf: lateOf.filter(({ cost }) => cost > 0.005),
    total: film + ordering + freight + holding + late,
  };
}

/** Square metres that are missing, each times the days for which it is. */
function missingFilm(
  lines: readonly OrderLine[],
  days: readonly number[],
  neededM2: readonly number[],
  rollM2: (offer: string) => number,
): number {
  return days.slice(0, -1).reduce((m2Days, day, d) => {
    const arrived = sum(lines, (line) => (line.arrivesDay <= day ? line.rolls * rollM2(line.offer) : 0));
    return m2Days + Math.max(0, (neededM2[d] as number) - arrived) * ((days[d + 1] as number) - day);
  }, 0);
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
