// The yield account: facts of where the film went, added up by machine, product, lot or week, and the losses in the order
// of their size. Yield is good over all that was used, by area; planned and actual are of the same sets.

import { COATED_FILM, GOOD_ROLLS } from './stockWords.ts';

export interface Fact {
  cause: string;
  machine: string;
  product: string;
  /** Supplier and lot of the base film, as far as known. */
  lot: string;
  /** First day (Monday) of the week. */
  week: string;
  plannedM2: number;
  actualM2: number;
  actualKg: number;
  /** What the actual area was worth; null where the plan had no worth for a roll. */
  cost: number | null;
}

export const DIMENSIONS = ['machine', 'product', 'lot', 'week'] as const;
export type Dimension = (typeof DIMENSIONS)[number];

/** What the coater made is a step between where slitting is looked at too: neither good nor lost. */
const isLoss = (cause: string): boolean => cause !== GOOD_ROLLS && cause !== COATED_FILM;

export interface CauseSum {
  cause: string;
  plannedM2: number;
  actualM2: number;
  actualKg: number;
  /** Null when the worth of some of it is not known. */
  cost: number | null;
}

export interface Loss extends CauseSum {
  /** Of all losses, and of this one with all that are larger; 0 to 1. */
  share: number;
  upTo: number;
}

export interface YieldOf {
  key: string;
  usedM2: number;
  goodM2: number;
  lossM2: number;
  lossCost: number | null;
  /** 0 to 1; undefined when nothing was used or planned. */
  planned: number | undefined;
  actual: number | undefined;
}

export function byCause(facts: readonly Fact[]): CauseSum[] {
  return [...grouped(facts, ({ cause }) => cause)].map(([cause, some]) => ({ cause, ...sumOf(some) }));
}

/** The losses, the largest first, each with what it and all larger ones make of the whole. */
export function pareto(facts: readonly Fact[]): Loss[] {
  const losses = byCause(facts)
    .filter(({ cause, actualM2 }) => isLoss(cause) && actualM2 > 0)
    .sort((a, b) => b.actualM2 - a.actualM2);
  const all = losses.reduce((sum, { actualM2 }) => sum + actualM2, 0);
  let before = 0;
  return losses.map((loss) => {
    before += loss.actualM2;
    return { ...loss, share: loss.actualM2 / all, upTo: before / all };
  });
}

/** Yield by one dimension, in the order of its keys. */
export function yieldBy(facts: readonly Fact[], dimension: Dimension): YieldOf[] {
  return [...grouped(facts, (fact) => fact[dimension])]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([key, some]) => yieldOf(key, some));
}

export function yieldOf(key: string, facts: readonly Fact[]): YieldOf {
  const end = facts.some(({ cause }) => cause === GOOD_ROLLS) ? GOOD_ROLLS : COATED_FILM;
  const good = sumOf(facts.filter(({ cause }) => cause === end));
  const lost = sumOf(facts.filter(({ cause }) => isLoss(cause)));
  const share = (part: number, rest: number) => (part + rest > 0 ? part / (part + rest) : undefined);
  return {
    key,
    usedM2: good.actualM2 + lost.actualM2,
    goodM2: good.actualM2,
    lossM2: lost.actualM2,
    lossCost: lost.cost,
    planned: share(good.plannedM2, lost.plannedM2),
    actual: share(good.actualM2, lost.actualM2),
  };
}

function sumOf(facts: readonly Fact[]): Omit<CauseSum, 'cause'> {
  const add = (of: (fact: Fact) => number) => facts.reduce((sum, fact) => sum + of(fact), 0);
  // Causes that were only planned cost nothing, known or not.
  const priced = facts.every(({ cost, actualM2 }) => cost !== null || actualM2 === 0);
  return {
    plannedM2: add(({ plannedM2 }) => plannedM2),
    actualM2: add(({ actualM2 }) => actualM2),
    actualKg: add(({ actualKg }) => actualKg),
    cost: priced ? add(({ cost }) => cost ?? 0) : null,
  };
}

function grouped(facts: readonly Fact[], keyOf: (fact: Fact) => string): Map<string, Fact[]> {
  const groups = new Map<string, Fact[]>();
  for (const fact of facts) {
    const key = keyOf(fact);
    const group = groups.get(key);
    if (group) group.push(fact);
    else groups.set(key, [fact]);
  }
  return groups;
}
