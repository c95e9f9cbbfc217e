// Pricing: which set across the web is worth most at given values per strip. Branch and bound on value per width, one
// stretch of free web after the other, honouring every budget of the pattern rules as it goes (Gilmore & Gomory 1961
// price by dynamic programming; a bound search takes strip and width limits in its stride). Units: um.
import type { Site } from '../model/model.ts';
import {
  acceptsRemainder,
  give,
  leavesCanFail,
  MARGIN,
  mostHere,
  openSearch,
  reach,
  type Search,
  take,
  unsorted,
} from './patternSearch.ts';
import { priceByTable } from './tablePricing.ts';

export interface PricingQuestion {
  /** Worth of each strip, parallel to the site's lists. */
  values: ArrayLike<number>;
  /** Most strips of each that one set may hold. */
  most: ArrayLike<number>;
  /** Only sets worth more than this are of interest. */
  above: number;
  /** How many sets to return at most. */
  keep: number;
  nodes: number;
}

/** Nodes after which a table is tried before the search goes on. */
const QUICK_NODES = 1_500;

export interface PricingAnswer {
  /** Sets worth more than `above`, best first: strips per entry of the site's lists. */
  patterns: { value: number; counts: number[] }[];
  /** No set at this site is worth more than this. */
  upperBound: number;
}

/** Finds the sets of greatest worth. Exact unless the node limit ends it; the upper bound holds in either case. */
export function pricePatterns(site: Site, question: PricingQuestion): PricingAnswer {
  const quick = search(site, question, Math.min(question.nodes, QUICK_NODES));
  if (quick.proven) return quick;
  const table = leavesCanFail(site) ? undefined : priceByTable(site, question.values, question.most);
  if (table) {
    const patterns = table.value > question.above ? [table] : [];
    return { patterns, upperBound: Math.max(question.above, table.value) };
  }
  return question.nodes > QUICK_NODES ? search(site, question, question.nodes) : quick;
}

function search(site: Site, question: PricingQuestion, nodes: number): PricingAnswer & { proven: boolean } {
  const state = openSearch(site, { ...question, nodes, all: false });
  descend(state, 0, 0, state.stretch[0] ?? 0, 0);
  const patterns = state.found.sort((a, b) => b.value - a.value).slice(0, question.keep);
  const proven = state.nodesLeft >= 0;
  return {
    patterns: patterns.map(({ value, counts }) => ({ value, counts: unsorted(state, counts) })),
    upperBound: proven ? Math.max(question.above, state.best) : state.rootBound,
    proven,
  };
}

/** Tries every number of strips of the width at position k, most first; `rest` is what is free in stretch s. */
function descend(search: Search, s: number, k: number, rest: number, value: number): void {
  if (--search.nodesLeft < 0) return;
  if (value > search.best) consider(search, s, rest, value);
  let at = k;
  while (at < search.entry.length && search.width[at] > rest) at++;
  if (at >= search.entry.length) {
    if (s + 1 < search.stretch.length) nextStretch(search, s, rest, value);
    return;
  }
  if (value + reach(search, s, at, rest) <= search.best + MARGIN) return;
  const most = mostHere(search, at, rest);
  const fresh = search.groupCount[search.group[at]] === 0;
  for (let n = most; n >= 0 && search.nodesLeft >= 0; n--) {
    take(search, at, n, fresh);
    descend(search, s, at + 1, rest - n * search.width[at], value + n * search.value[at]);
    give(search, at, n, fresh);
    if (
      n > 0 &&
      n < most &&
      !worthFewer(search, s, at, rest - (n - 1) * search.width[at], value + (n - 1) * search.value[at])
    )
      break;
  }
}

/** With fewer strips of this width the best that can follow only falls: false when it is already too little. */
function worthFewer(search: Search, s: number, at: number, rest: number, value: number): boolean {
  const next = at + 1 < search.entry.length ? Math.max(0, search.value[at + 1] / search.width[at + 1]) : 0;
  return value + rest * next + search.after[s] > search.best + MARGIN;
}

function nextStretch(search: Search, s: number, rest: number, value: number): void {
  search.used[s] = search.stretch[s] - rest;
  descend(search, s + 1, 0, search.stretch[s + 1], value);
  search.used[s] = 0;
}

function consider(search: Search, s: number, rest: number, value: number): void {
  const used = search.used.slice();
  used[s] = search.stretch[s] - rest;
  if (!acceptsRemainder(search.site, used, search.spent)) return;
  search.best = value + MARGIN;
  search.found.push({ value, counts: search.counts.slice() });
}
