// What to buy, when, and from whom: one program over buckets of time for all grades that share suppliers, since an order's
// cost, its least value and its containers are shared by its lines. Sets across the web are columns of it, generated as they are
// worth it (purchaseSets.ts). The relaxation (lp.ts) says what no way to buy can beat; whole numbers come from the integer program
// over the sets that were found (highs.ts), counted again from the lines alone (purchaseCount.ts); a second program without sets
// proves how good that is, and may find better (purchaseBound.ts).
import { keepingShare } from '../../domain/timeKept.ts';
import { solveMip } from '../solvers/highs.ts';
import { filmCuts, leastBuying } from './purchaseBound.ts';
import { type BuyingPlan, type Counted, countUp, linesOf, type OrderLine } from './purchaseCount.ts';
import { filmCut } from './purchaseCutting.ts';
import { buyFewGrades } from './purchaseFewGrades.ts';
import { type PurchaseProgram, purchaseProgram } from './purchaseProgram.ts';
import { type Relaxed, relaxWithSets } from './purchaseSets.ts';
import type { BuyingTask } from './purchaseTask.ts';

export interface Effort {
  nodes: number;
  secondsLeft: () => number;
  /** False: found, not proved. */
  prove?: boolean;
}

export interface Asked {
  /** Offers that are not to be taken. */
  without?: readonly string[];
  /** All film of this grade comes in one line. */
  oneOrderOf?: string;
  /** A purchase of all offers: with many grades, only what is asked for is bought otherwise than in it. */
  from?: readonly OrderLine[];
}

const UNHURRIED: Effort = { nodes: 5000, secondsLeft: () => Infinity };
const SAME = 1e-6;
/** Up to so many grades one integer program is soonest done. */
const FEW_GRADES = 3;
/** A proof that is not there after so many rounds is not near. */
const ROUNDS = 40;

/** Undefined when nothing is needed or no offer is there; grades without an offer are left out. */
export function planPurchases(
  task: BuyingTask,
  asked: Asked = {},
  effort = UNHURRIED,
): BuyingPlan | undefined {
  const whole = withOffers(task, asked.without ?? []);
  if (whole.grades.length === 0) return undefined;
  const program = purchaseProgram(whole, { sets: true, oneOrderOf: asked.oneOrderOf });
  seedSets(whole, program, within(effort.secondsLeft, 0.2));
  const relaxed = relaxWithSets(program, within(effort.secondsLeft, 0.4));
  const byStrips = program.film.some(({ needs }) => needs.strips);
  const many = whole.grades.length > FEW_GRADES;
  const share = effort.prove === false || !(byStrips || many) ? 1 : 0.5;
  const { first, bound, ended } = many
    ? buyMany(whole, program, asked, within(effort.secondsLeft, share))
    : buyTogether(whole, program, effort, within(effort.secondsLeft, share));
  if (byStrips || many) return proved(whole, asked, effort, { program, relaxed, first });
  return first && planOf(first, Math.max(relaxed.bound, bound), ended);
}

interface Bought {
  first: Counted | undefined;
  /** With the sets that were found. */
  bound: number;
  ended: boolean;
}

/** All grades in one integer program over the sets that were found. */
function buyTogether(
  task: BuyingTask,
  program: PurchaseProgram,
  { nodes, secondsLeft }: Effort,
  within: () => number,
): Bought {
  const found = solveMip(program.draft.mip, { nodes, seconds: within(), absoluteGap: 1e-4 });
  const first = found.x && countUp(task, program, linesOf(program.lots, found.x), secondsLeft);
  return { first, bound: found.bound, ended: found.ended };
}

const buyMany = (
  task: BuyingTask,
  program: PurchaseProgram,
  asked: Asked,
  secondsLeft: () => number,
): Bought => ({
  first: buyFewGrades(task, program, asked, secondsLeft),
  bound: Number.NEGATIVE_INFINITY,
  ended: false,
});

const planOf = (
  { cuts: _cuts, missing: _missing, ...plan }: Counted,
  bound: number,
  proved: boolean,
): BuyingPlan => ({
  ...plan,
  bound: Math.min(plan.total, bound),
  proved,
});

/** A share of the time that is left now. */
const within = (secondsLeft: () => number, share: number) => keepingShare(secondsLeft, 1 - share);

function withOffers(task: BuyingTask, without: readonly string[]): BuyingTask {
  const offers = task.offers.filter(({ code }) => !without.includes(code));
  const grades = task.grades.filter(
    ({ grade, needs, strips }) =>
      [...needs, ...(strips?.needs ?? [])].some(({ areaM2 }) => areaM2 > SAME) &&
      offers.some((offer) => offer.grade === grade),
  );
  const wanted = new Set(grades.map(({ grade }) => grade));
  return { ...task, grades, offers: offers.filter(({ grade }) => wanted.has(grade)) };
}

/** Grade by grade, without what couples them, the sets are found sooner; the whole program then needs few more. */
function seedSets(task: BuyingTask, { calendar }: PurchaseProgram, secondsLeft: () => number): void {
  if (task.grades.length === 1) return;
  for (const needs of task.grades) {
    if (!needs.strips) continue;
    const offers = task.offers.filter(({ grade }) => grade === needs.grade);
    const alone = { ...task, grades: [needs], offers, terms: [], costs: { ...task.costs, perOrder: 0 } };
    relaxWithSets(purchaseProgram(alone, { sets: true, calendar }), secondsLeft);
  }
}

interface Found {
  program: PurchaseProgram;
  relaxed: Relaxed;
  first: Counted | undefined;
}

/** Better purchases and better bounds in turns, until they meet or the work is done. */
function proved(
  task: BuyingTask,
  asked: Asked,
  { nodes, secondsLeft, prove = true }: Effort,
  { program, relaxed, first }: Found,
): BuyingPlan | undefined {
  let best = first && !first.missing ? first : undefined;
  let bound = relaxed.bound;
  const close = (): number => SAME * Math.max(1, best?.total ?? bound) + 1e-4;
  const strips = program.film.filter(({ needs }) => needs.strips);
  const cuts = prove ? [...strips.flatMap(filmCuts), ...strips.map((rows) => filmCut(rows, relaxed))] : [];
  cuts.push(...(prove && first ? first.cuts : []));
  for (let round = 0; prove && round < ROUNDS && secondsLeft() > 0; round++) {
    const limits = {
      nodes,
      seconds: within(secondsLeft, strips.length > 0 ? 0.5 : 1)(),
      absoluteGap: close() / 2,
    };
    const outer = leastBuying(task, cuts, { oneOrderOf: asked.oneOrderOf }, limits);
    bound = Math.max(bound, outer.bound);
    if (best && best.total - bound <= close()) break;
    if (!outer.x) break;
    const counted = countUp(task, outer.program, linesOf(outer.program.lots, outer.x), secondsLeft);
    if (!counted.missing && counted.total < (best?.total ?? Infinity)) best = counted;
    if (best && best.total - bound <= close()) break;
    if (counted.cuts.length === 0) break;
    cuts.push(...counted.cuts);
  }
  return best && planOf(best, bound, best.total - bound <= close());
}

/** Plans of parts that share no supplier, as one. */
export function together(plans: readonly BuyingPlan[]): BuyingPlan {
  const sum = (of: (one: BuyingPlan) => number): number => plans.reduce((total, one) => total + of(one), 0);
  return {
    lines: plans.flatMap(({ lines }) => lines),
    orders: plans.flatMap(({ orders }) => orders),
    lateOf: plans.flatMap(({ lateOf }) => lateOf),
    sets: plans.flatMap(({ sets }) => sets),
    film: sum(({ film }) => film),
    ordering: sum(({ ordering }) => ordering),
    freight: sum(({ freight }) => freight),
    holding: sum(({ holding }) => holding),
    late: sum(({ late }) => late),
    coating: sum(({ coating }) => coating),
    total: sum(({ total }) => total),
    bound: sum(({ bound }) => bound),
    proved: plans.every(({ proved: done }) => done),
  };
}
