// Which base width to buy for open orders of products on one grade. First, for every width, the least that film and coating cost from
// it (planner/cutBound.ts, finished length by finished length): the curve, the best pair, and what one more width beside those
// on offer would save. Then full plans of the best few, each checked, beside their own proven bounds. CPU heavy: call it in a
// worker; what is found so far is reported.
import { mmToUm, mToMm } from '../../domain/units.ts';
import { cutBound } from '../../planner/bounding/cutBound.ts';
import { makePlan } from '../planning/makePlan.ts';
import type { WidthQuestion } from './widthQuestion.ts';

/** Pairs are tried of the best widths with each other, and of the very best with every other. */
const PAIRED = 6;
const SINGLES_PLANNED = 3;
const SECONDS_PER_PLAN = 6;

export interface WidthCost {
  widthMm: number;
  /** Undefined: some strip is too wide for it, or it is wider than the web of any slitter of the product. */
  cost: number | undefined;
  /** Together with the widths on offer today. */
  besideMenu: number | undefined;
}

/** A menu of widths with the least that film and coating cost from it, and with a full plan once it is made. */
export interface WidthMenu {
  widthsMm: number[];
  what: 'single' | 'pair' | 'menu' | 'menu and one more';
  least: number;
  plan: { cost: number; bound: number; setUps: number; filmM2: number } | undefined;
}

export interface WidthComparison {
  products: WidthQuestion['products'];
  grade: string;
  filmPerM2: number;
  metresAsked: number;
  menuMm: number[];
  widths: WidthCost[];
  best: { widthMm: number; cost: number } | undefined;
  pair: { widthsMm: [number, number]; cost: number } | undefined;
  /** What today's widths cost at the least; undefined when they cannot make all of the orders. */
  menuCost: number | undefined;
  /** The width that helps most beside today's. */
  oneMore: { widthMm: number; saves: number } | undefined;
  /** The best few, to be planned in full. */
  menus: WidthMenu[];
  /** Steps done, of all. */
  done: number;
  of: number;
}

export interface WidthControl {
  secondsLeft: () => number;
  report: (soFar: WidthComparison) => void;
}

type CostOf = (...widthsMm: number[]) => number | undefined;

export function compareWidths(question: WidthQuestion, control: WidthControl): WidthComparison {
  const { products, grade, filmPerM2, menuMm, document } = question;
  const costOf = leastCosts(question);
  const menuCost = menuMm.length > 0 ? costOf(...menuMm) : undefined;
  const widths = question.widthsMm.map((widthMm) => ({
    widthMm,
    cost: costOf(widthMm),
    besideMenu: menuMm.includes(widthMm) ? menuCost : costOf(...menuMm, widthMm),
  }));
  const found = {
    ...{ products, grade, filmPerM2, menuMm, widths, menuCost },
    metresAsked: document.orders.reduce((m, { rolls, lengthM }) => m + rolls * lengthM, 0),
    ...bestOf(widths, costOf),
    oneMore: oneMoreOf(widths, menuMm, menuCost),
  };
  const menus = menusOf(found);
  const comparison: WidthComparison = { ...found, menus, done: 0, of: menus.length };
  control.report(comparison);
  for (const menu of menus) {
    if (control.secondsLeft() <= 0) break;
    menu.plan = planOf(question, menu.widthsMm, control);
    comparison.done += 1;
    control.report(comparison);
  }
  return comparison;
}

/** Strips of one product and one finished length can share a pattern. */
interface Demand {
  strips: { widthUm: number; metres: number }[];
  edgesUm: number;
  maxWebMm: number;
  maxStrips: number;
  perM2: number;
}

/** The least cost of all orders from webs of given widths, in money. */
function leastCosts(question: WidthQuestion): CostOf {
  const demands = question.products.flatMap((one) => demandsOf(question, one));
  return (...widthsMm) => {
    let cost = 0;
    for (const { strips, edgesUm, maxWebMm, maxStrips, perM2 } of demands) {
      if (widthsMm.some((mm) => mm > maxWebMm)) return undefined;
      const webs = widthsMm.map((mm) => ({ widthUm: mmToUm(mm), edgesUm, costPerM: (mm / 1000) * perM2 }));
      const bound = cutBound(webs, strips, Number.isFinite(maxStrips) ? maxStrips : undefined);
      if (!bound) return undefined;
      cost += bound.cost;
    }
    return cost;
  };
}

/** With the kindest limits of the slitters that may run the product. */
function demandsOf(
  { document, filmPerM2 }: WidthQuestion,
  { product, coatingPerM2 }: WidthQuestion['products'][number],
): Demand[] {
  const described = document.products.find(({ id }) => id === product);
  const own = document.slitters.filter(({ id }) => described?.slitters?.includes(id) ?? true);
  const most = (values: (number | undefined)[]): number =>
    Math.max(...values.map((value) => value ?? Infinity));
  const least = (values: (number | undefined)[]): number => Math.min(...values.map((value) => value ?? 0));
  const free = described?.coating?.coatFreeEdgeMm;
  const edge = (side: 'left' | 'right'): number =>
    Math.max(free?.[side] ?? 0, least(own.map(({ edgeTrimMinMm }) => edgeTrimMinMm?.[side])));
  const orders = document.orders.filter((order) => order.product === product);
  return [...new Set(orders.map(({ lengthM }) => lengthM))].map((lengthM) => ({
    strips: orders
      .filter((order) => order.lengthM === lengthM)
      .map(({ widthMm, rolls }) => ({ widthUm: mmToUm(widthMm), metres: (rolls * mToMm(lengthM)) / 1000 })),
    edgesUm: mmToUm(edge('left') + edge('right')),
    maxWebMm: most(own.map(({ maxWebWidthMm }) => maxWebWidthMm)),
    maxStrips: most(own.map((slitter) => slitter.maxStrips)),
    perM2: filmPerM2 + coatingPerM2,
  }));
}

const byCost = <One extends { cost: number; widthMm: number }>(all: One[]): One[] =>
  all.sort((a, b) => a.cost - b.cost || a.widthMm - b.widthMm);

function bestOf(widths: readonly WidthCost[], costOf: CostOf): Pick<WidthComparison, 'best' | 'pair'> {
  const ranked = byCost(
    widths.flatMap(({ widthMm, cost }) => (cost === undefined ? [] : [{ widthMm, cost }])),
  );
  const best = ranked[0];
  let pair: WidthComparison['pair'];
  ranked.forEach(({ widthMm: a }, i) => {
    if (i >= PAIRED) return;
    for (const { widthMm: b } of i === 0 ? widths : ranked.slice(0, PAIRED)) {
      if (a === b) continue;
      const cost = costOf(a, b);
      if (cost !== undefined && cost < (pair?.cost ?? Number.POSITIVE_INFINITY) - 1e-9)
        pair = { widthsMm: a < b ? [a, b] : [b, a], cost };
    }
  });
  return { best, pair };
}

function oneMoreOf(
  widths: readonly WidthCost[],
  menuMm: readonly number[],
  menuCost: number | undefined,
): WidthComparison['oneMore'] {
  if (menuCost === undefined) return undefined;
  const others = widths.flatMap(({ widthMm, besideMenu }) =>
    besideMenu === undefined || menuMm.includes(widthMm) ? [] : [{ widthMm, cost: besideMenu }],
  );
  const best = byCost(others)[0];
  return best && { widthMm: best.widthMm, saves: Math.max(0, menuCost - best.cost) };
}

/** The best single widths, the best pair, today's widths, and those with the one that helps most. */
function menusOf({
  widths,
  pair,
  menuMm,
  menuCost,
  oneMore,
}: Omit<WidthComparison, 'menus' | 'done' | 'of'>): WidthMenu[] {
  const able = byCost(widths.flatMap(({ widthMm, cost }) => (cost === undefined ? [] : [{ widthMm, cost }])));
  const menus: WidthMenu[] = [];
  const add = (what: WidthMenu['what'], widthsMm: number[], least: number) => {
    const same = (one: WidthMenu) => one.widthsMm.join() === widthsMm.join();
    if (!menus.some(same)) menus.push({ what, widthsMm, least, plan: undefined });
  };
  if (menuCost !== undefined) add('menu', menuMm, menuCost);
  if (menuCost !== undefined && oneMore && oneMore.saves > 0)
    add(
      'menu and one more',
      [...menuMm, oneMore.widthMm].sort((a, b) => a - b),
      menuCost - oneMore.saves,
    );
  for (const { widthMm, cost } of able.slice(0, SINGLES_PLANNED)) add('single', [widthMm], cost);
  if (pair) add('pair', pair.widthsMm, pair.cost);
  return menus;
}

/** A full plan, checked, from rolls of these widths alone; film is charged by what is used of it. */
function planOf(
  { document, grade, filmPerM2, rollLengthM }: WidthQuestion,
  widthsMm: readonly number[],
  control: WidthControl,
): WidthMenu['plan'] {
  const until = Math.max(0, control.secondsLeft() - SECONDS_PER_PLAN);
  const secondsLeft = () => control.secondsLeft() - until;
  const count = document.orders.reduce((sum, { rolls }) => sum + rolls, 0);
  const rolls = widthsMm.map((widthMm) => ({
    ...{ id: `${widthMm} mm`, kind: 'base' as const, item: grade, widthMm, lengthM: rollLengthM, count },
    costPerRoll: (widthMm / 1000) * rollLengthM * filmPerM2,
  }));
  const made = makePlan({ ...document, rolls }, { secondsLeft, report: () => {} });
  if (!made.ok || made.plan.status === 'short') return undefined;
  const { cost, bound, runs, yield: areas } = made.plan;
  return {
    cost: cost.total,
    bound: bound.cost,
    setUps: runs.length,
    filmM2: areas.inputM2 - areas.stubM2,
  };
}
