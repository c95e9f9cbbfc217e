// A plan in plain words: the answer first, then what to look at. Pure: a plan and its problem in, sentences out.
// Rounding never flatters: what is left to gain is rounded up, the bound down.
import type { OrderOutcome, Plan, PlanProgress, Run } from '../../domain/plan.ts';
import { rollsUsed, setUpsOf } from '../../domain/planCounts.ts';
import { andList, count, grouped } from '../words.ts';

/** 912.4 -> "912.40"; big amounts without cents. */
export function money(value: number): string {
  const decimals = Math.abs(value) >= 1000 ? 0 : 2;
  return value.toLocaleString('en-GB', { minimumFractionDigits: decimals, maximumFractionDigits: decimals });
}
/** As `money`, never more than the value: for a bound. */
export function moneyDown(value: number): string {
  const scale = Math.abs(value) >= 1000 ? 1 : 100;
  return money(Math.floor(value * scale + 1e-9) / scale);
}
/** A share in percent, rounded up to one place: 0.61 -> "0.7". */
export const percentUp = (value: number): string => grouped(Math.ceil(value * 10 - 1e-9) / 10, 1);

export interface Phrase {
  text: string;
  strong: boolean;
}

/** The answer in two or three sentences: what is met, from what, at what cost, and how much better it could be. */
export function answerWords(plan: Plan): Phrase[] {
  const sentences = [metWords(plan), costWords(plan), ...stoppedWords(plan)].join(' ');
  return sentences.split(STRONG).map((text, index) => ({ text, strong: index % 2 === 1 }));
}
/** A first plan while the search goes on, in one text. */
export function firstWords(plan: Plan): string {
  return `A first plan is made and checked. ${[metWords(plan), costWords(plan)].join(' ').replaceAll(STRONG, '')}`;
}
/** Stands before and after what is set in bold; never part of a code that a reader may type. */
const STRONG = '\u0001';
const strong = (text: string) => `${STRONG}${text}${STRONG}`;

function metWords(plan: Plan): string {
  const short = plan.orders.filter((order) => order.short > 0);
  const late = plan.orders.filter((order) => order.lateDays > 0);
  const made = `from ${strong(count(rollsUsed(plan).size, 'roll'))} with ${strong(count(setUpsOf(plan), 'set-up'))}`;
  if (plan.runs.length === 0 && plan.stopped === 'time')
    return 'The time limit ended the search before any run was found, so nothing is slit. Give it more time.';
  if (plan.runs.length === 0)
    return `None of the ${count(plan.orders.length, 'order')} can be made: nothing is slit.`;
  const orders = plan.orders.length;
  const met = orders - short.length;
  const lateWords = late.length > 0 ? `; ${late.length === 1 ? '1 is late' : `${late.length} are late`}` : '';
  if (short.length === 0)
    return orders === 1
      ? `The order is met ${made}${lateWords}.`
      : `All ${grouped(orders)} orders are met ${made}${lateWords}.`;
  const missing = short.slice(0, 4).map((order) => `${order.id} by ${count(order.short, 'roll')}`);
  if (short.length > 4) missing.push(`${grouped(short.length - 4)} more`);
  const full =
    met === 0
      ? `None of the ${count(orders, 'order')} is`
      : `${grouped(met)} of ${count(orders, 'order')} ${met === 1 ? 'is' : 'are'}`;
  const wanted = plan.orders.reduce((sum, order) => sum + order.ordered, 0);
  const planned = plan.orders.reduce((sum, order) => sum + order.planned, 0);
  return `${full} met in full; ${strong(`${grouped(planned)} of ${grouped(wanted)}`)} rolls are made, ${made}${lateWords}. Short: ${andList(missing)}.`;
}

function costWords(plan: Plan): string {
  if (plan.cost.short > 0) return shortCostWords(plan);
  const cost = `It costs ${strong(inMoney(plan, plan.cost.total))}`;
  if (isProved(plan)) return `${cost}, and no plan can cost less (proved).`;
  return `${cost}; no plan can cost less than ${strong(moneyDown(plan.bound.cost))} (proved), so at most ${percentUp(plan.bound.gapPct)} % is left to gain.`;
}

/**
 * What falls short is priced far above any film, so it is kept apart from what is really paid, and what is left to gain
 * is told only where it is not itself a matter of what is missing.
 */
function shortCostWords(plan: Plan): string {
  const paid = plan.cost.total - plan.cost.short;
  const open = plan.cost.total - plan.bound.cost;
  const made = `What is made costs ${strong(inMoney(plan, paid))}`;
  if (isProved(plan)) return `${made}; no plan that makes as much costs less (proved).`;
  if (open < paid) return `${made}; at most ${inMoney(plan, moneyUp(open))} of that could be saved (proved).`;
  return `${made}. It is not proved that no plan could make more of what is missing.`;
}

/** Rounded up as it will be shown. */
const moneyUp = (value: number) => (value >= 1000 ? Math.ceil(value) : Math.ceil(value * 100) / 100);

const isProved = (plan: Plan) => plan.status === 'best' || plan.stopped === 'proved';
/** "912.40 EUR"; without a currency where the problem has none. */
export const inMoney = (plan: Plan, value: number) =>
  `${money(value)}${plan.currency === '' ? '' : ` ${plan.currency}`}`;

function stoppedWords(plan: Plan): string[] {
  if (plan.stopped === 'time' && plan.runs.length > 0)
    return ['The search was ended before it was done; with more time the plan or the proof may get better.'];
  return [];
}

const PHASES: Record<PlanProgress['phase'], string> = {
  reading: 'Reading the problem',
  bounding: 'Finding the cost that no plan can beat',
  building: 'Building a first plan',
  improving: 'Looking for a better plan',
  proving: 'Proving how good the plan is',
  'laying out': 'Placing knives and putting the runs in order',
  done: 'Checking the plan',
};

/** How far a running plan is, in words. */
export function progressWords(progress: PlanProgress | undefined): { phase: string; costs: string } {
  if (!progress) return { phase: 'Waiting for its turn', costs: '' };
  const { boundCost, bestCost } = progress;
  const bound = boundCost === null ? '' : `no plan can cost less than ${moneyDown(boundCost)} (proved)`;
  const best = bestCost === null ? '' : `the best plan so far costs ${money(bestCost)}`;
  const gap =
    boundCost !== null && bestCost !== null && bestCost > 0
      ? Math.max(0, (1 - boundCost / bestCost) * 100)
      : undefined;
  const apart =
    gap === undefined ? '' : gap < 1e-4 ? '; they meet' : `; ${percentUp(gap)} % lies between them`;
  const costs = [best, bound].filter((words) => words !== '').join('; ');
  return {
    phase: PHASES[progress.phase],
    costs: costs === '' ? '' : `${costs.charAt(0).toUpperCase()}${costs.slice(1)}${apart}.`,
  };
}

/** "4 x 216, 83, waste 83": the pattern of a run, equal neighbours together, in mm. */
export function patternWords(run: Run): string {
  const parts: { words: string; times: number }[] = [];
  for (const strip of run.strips) {
    const width = grouped(strip.toMm - strip.fromMm);
    const words =
      strip.order !== undefined ? width : `${strip.filler === undefined ? 'waste' : 'filler'} ${width}`;
    const last = parts.at(-1);
    if (last?.words === words) last.times += 1;
    else parts.push({ words, times: 1 });
  }
  return parts.map(({ words, times }) => (times === 1 ? words : `${times} x ${words}`)).join(', ');
}

/** How one order came out: "met", "2 short", "3 over, within tolerance", "late by 2 days". */
export function outcomeWords(order: OrderOutcome): string {
  const words: string[] = [];
  if (order.short > 0) words.push(`${grouped(order.short)} short`);
  if (order.over > 0) words.push(`${grouped(order.over)} over, within tolerance`);
  const under = order.ordered - order.planned - order.short;
  if (order.short === 0 && under > 0) words.push(`${grouped(under)} under, within tolerance`);
  if (order.lateDays > 0) words.push(`late by ${count(order.lateDays, 'day')}`);
  if (order.short === 0 && order.lateDays === 0) words.unshift('met');
  return words.join('; ');
}
