// The state of a search for sets across the web, and its moves: strips taken and given back, budgets spent, the bound
// on what can still be added. Pricing looks for the best set with it, listPatterns.ts for all good ones. Units: um.
import type { Site } from '../model/model.ts';

export interface SearchQuestion {
  /** Worth of each strip, parallel to the site's lists. */
  values: ArrayLike<number>;
  /** Most strips of each that one set may hold. */
  most: ArrayLike<number>;
  /** Only sets worth more than this are of interest. */
  above: number;
  nodes: number;
  /** Strips that are worth nothing matter too. */
  all: boolean;
}

export const MARGIN = 1e-10;

export interface Search {
  site: Site;
  /** Site entry behind each position of the sorted lists below. */
  entry: number[];
  width: Float64Array;
  value: Float64Array;
  most: Int32Array;
  /** Equal numbers: equal widths, which count once among distinct widths. */
  group: Int32Array;
  stretch: number[];
  used: number[];
  /** Narrowest width and greatest worth from each position on. */
  narrowest: Float64Array;
  dearest: Float64Array;
  /** The best that the stretches after this one could add. */
  after: number[];
  counts: Int32Array;
  groupCount: Int32Array;
  limit: number[];
  eachStrip: number[];
  eachWidth: number[];
  eachWaste: number[];
  spent: number[];
  best: number;
  found: { value: number; counts: Int32Array }[];
  nodesLeft: number;
  rootBound: number;
}

export function openSearch(site: Site, question: SearchQuestion): Search {
  const { values, most } = question;
  const picky = question.all || leavesCanFail(site);
  const stretch = site.web.map((s) => s.toUm - s.fromUm);
  const widest = Math.max(...stretch);
  const entry: number[] = [];
  const perUm = site.widthsUm.map((widthUm, k) => {
    if (most[k] > 0 && widthUm <= widest && (picky || values[k] > 1e-11)) entry.push(k);
    return values[k] / widthUm;
  });
  entry.sort((a, b) => perUm[b] - perUm[a] || a - b);
  const width = Float64Array.from(entry, (k) => site.widthsUm[k]);
  const value = Float64Array.from(entry, (k) => values[k]);
  const groups = groupsOf(site.widthsUm);
  const density = entry.length ? Math.max(0, value[0] / width[0]) : 0;
  const after = stretch.map(
    (_, s) => density * stretch.slice(s + 1).reduce((sum, length) => sum + length, 0),
  );
  return {
    site,
    entry,
    width,
    value,
    most: Int32Array.from(entry, (k) => most[k]),
    group: Int32Array.from(entry, (k) => groups[k]),
    stretch,
    used: stretch.map(() => 0),
    narrowest: suffix(width, Math.min, Infinity),
    dearest: suffix(value, Math.max, 0),
    after,
    counts: new Int32Array(entry.length),
    groupCount: new Int32Array(site.widthsUm.length),
    limit: site.budgets.map((b) => b.limit),
    eachStrip: site.budgets.map((b) => b.eachStrip),
    eachWidth: site.budgets.map((b) => b.eachWidth),
    eachWaste: site.budgets.map((b) => b.eachWaste),
    spent: site.budgets.map(() => 0),
    best: question.above,
    found: [],
    nodesLeft: question.nodes,
    rootBound: density * stretch.reduce((sum, length) => sum + length, 0),
  };
}

const known = new WeakMap<readonly number[], Int32Array>();

/** Equal numbers for equal widths; counted once for each list of widths. */
function groupsOf(widthsUm: number[]): Int32Array {
  const counted = known.get(widthsUm);
  if (counted) return counted;
  const numbers = new Map<number, number>();
  const groups = Int32Array.from(widthsUm, (width) => {
    if (!numbers.has(width)) numbers.set(width, numbers.size);
    return numbers.get(width) as number;
  });
  known.set(widthsUm, groups);
  return groups;
}

function suffix(list: Float64Array, pick: (a: number, b: number) => number, last: number): Float64Array {
  const out = new Float64Array(list.length + 1);
  out[list.length] = last;
  for (let k = list.length - 1; k >= 0; k--) out[k] = pick(out[k + 1], list[k]);
  return out;
}

/** An upper bound on what stretch s from position k on, and all later stretches, can add. */
export function reach(search: Search, s: number, k: number, rest: number): number {
  const density = search.value[k] / search.width[k];
  let bound = (density > 0 ? rest * density : 0) + search.after[s];
  for (let b = 0; b < search.limit.length; b++) {
    if (search.eachStrip[b] > 0 && search.stretch.length === 1) {
      const strips = Math.floor((search.limit[b] - search.spent[b]) / search.eachStrip[b]);
      bound = Math.min(bound, strips * search.dearest[k]);
    }
  }
  return bound;
}

/** The most strips of the width at this position that rest, budgets and demand allow. */
export function mostHere(search: Search, at: number, rest: number): number {
  let most = Math.min(search.most[at] - search.counts[at], Math.floor(rest / search.width[at]));
  const fresh = search.groupCount[search.group[at]] === 0;
  for (let b = 0; b < search.limit.length; b++) {
    const left = search.limit[b] - search.spent[b] - (fresh ? search.eachWidth[b] : 0);
    if (left < 0) return 0;
    if (search.eachStrip[b] > 0) most = Math.min(most, Math.floor(left / search.eachStrip[b]));
  }
  return most;
}

export function take(search: Search, at: number, n: number, fresh: boolean): void {
  if (n === 0) return;
  search.counts[at] += n;
  search.groupCount[search.group[at]] += n;
  for (let b = 0; b < search.limit.length; b++) {
    search.spent[b] += n * search.eachStrip[b] + (fresh ? search.eachWidth[b] : 0);
  }
}

export function give(search: Search, at: number, n: number, fresh: boolean): void {
  if (n === 0) return;
  search.counts[at] -= n;
  search.groupCount[search.group[at]] -= n;
  for (let b = 0; b < search.limit.length; b++) {
    search.spent[b] -= n * search.eachStrip[b] + (fresh ? search.eachWidth[b] : 0);
  }
}

/** Counts in the order of the site's lists. */
export function unsorted(search: Search, counts: Int32Array): number[] {
  const out = new Array(search.site.widthsUm.length).fill(0);
  search.entry.forEach((k, i) => {
    out[k] = counts[i];
  });
  return out;
}

// ---- what is left of the web -------------------------------------------------------------------------------------

/** True when some sets at this site are refused for what they leave, not for what they hold. */
export function leavesCanFail(site: Site): boolean {
  if (site.web.length > 1) return false;
  const usable = site.web[0].toUm - site.web[0].fromUm;
  return site.trimSlackUm < usable && site.budgets.some((b) => b.eachWaste > 0);
}

/** Whether trims and waste strips can take away what a set leaves: `usedUm` per stretch, `spent` per budget. */
export function acceptsRemainder(site: Site, usedUm: number[], spent: number[]): boolean {
  if (site.web.length > 1) return true; // the waste strips at the bad lanes take up what the trims do not
  const { fromUm, toUm } = site.web[0];
  const left = toUm - fromUm - usedUm[0];
  if (left <= site.trimSlackUm) return true;
  return site.budgets.every((b, i) => spent[i] + b.eachWaste <= b.limit);
}
