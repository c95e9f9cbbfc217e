// One or two patterns that make a given need in a given number of sets: the step with which Foerster & Waescher
// (International Journal of Production Research 38, 2000) combine patterns. The times u + v of two patterns are
// chosen first; a bounded search then splits the strips of every width between them, so that least runs over. Over-run
// goes to waste or stays within the order's tolerance. Units: um.
import { fits } from '../bounding/starters.ts';
import type { Site } from '../model/model.ts';

/** What a few sets at one site have to make; lists are parallel to the site's lists. */
export interface Task {
  site: Site;
  /** Rolls that must be made, not negative. */
  need: number[];
  /** Rolls that may be made; Infinity where surplus strips can go to waste. */
  room: number[];
  /** Sets to make them in. */
  times: number;
}

export interface Repeated {
  counts: number[];
  times: number;
}

/** Steps of search that may still be taken; shared by everything that searches, so that all end alike everywhere. */
export interface Work {
  steps: number;
}

const STEPS_PER_SPLIT = 3000;
const MOST_SPLITS = 40;

export function usableUm(site: Site): number {
  return site.web[0].toUm - site.web[0].fromUm;
}

/** One pattern that makes the need when it is cut `times` times. */
export function oneSet(task: Task): Repeated[] | undefined {
  const { site, need, room, times } = task;
  if (times < 1) return undefined;
  let used = 0;
  for (let k = 0; k < need.length; k++) used += Math.ceil(need[k] / times) * site.widthsUm[k];
  if (used > usableUm(site) || used === 0) return undefined;
  const counts = need.map((n) => Math.ceil(n / times));
  if (counts.some((n, k) => n * times > room[k])) return undefined;
  const left = room.map((most, k) => most - counts[k] * times);
  const padded = filledUp(site, counts, times, left);
  return padded && [{ counts: padded, times }];
}

/** Two patterns that make the need, their times adding up to the task's; `hints` are times worth trying first. */
export function twoSets(task: Task, hints: number[], work: Work): Repeated[] | undefined {
  const { site, need, times } = task;
  const total = need.reduce((sum, n, k) => sum + Math.max(0, n) * site.widthsUm[k], 0);
  if (total > times * usableUm(site)) return undefined;
  for (const u of splits(task, hints)) {
    if (work.steps <= 0) return undefined;
    const found = split(task, u, times - u, work);
    if (found) return found;
  }
  return undefined;
}

/** Times of the first pattern, at least half of all: every one if there are few, else those that divide a need well. */
function splits({ need, times }: Task, hints: number[]): number[] {
  const half = Math.ceil(times / 2);
  if (times - half <= MOST_SPLITS) return Array.from({ length: times - half }, (_, i) => times - 1 - i);
  const likely = [
    ...hints,
    ...need.flatMap((n) => (n > 0 ? [1, 2, 3, 4].map((parts) => Math.ceil(n / parts)) : [])),
  ];
  const first = likely.map((t) => Math.max(t, times - t)).filter((t) => t < times);
  return [...new Set(first)].slice(0, MOST_SPLITS).sort((a, b) => b - a);
}

interface Split {
  site: Site;
  u: number;
  v: number;
  /** Entries with a need, the most area first, and how their strips may be split: in set one, in set two. */
  entries: number[];
  options: [number, number][][];
  /** Area that the entries from each on take at least. */
  area: number[];
  one: number[];
  two: number[];
  spentOne: number[];
  spentTwo: number[];
  steps: number;
}

function split(task: Task, u: number, v: number, work: Work): Repeated[] | undefined {
  const { site, need, room } = task;
  const width = site.widthsUm;
  const entries = need.map((_, k) => k).filter((k) => need[k] > 0);
  work.steps -= 2 * entries.length;
  entries.sort((a, b) => width[b] * need[b] - width[a] * need[a] || a - b);
  const web = usableUm(site);
  const area = [...entries.map(() => 0), 0];
  for (let i = entries.length - 1; i >= 0; i--) {
    area[i] = area[i + 1] + width[entries[i]] * leastMade(need[entries[i]], u, v);
    if (area[i] > (u + v) * web) return undefined;
  }
  const options = entries.map((k) => optionsFor(need[k], room[k], u, v));
  if (options.some((list) => list.length === 0)) return undefined;
  const none = () => width.map(() => 0);
  const spent = () => site.budgets.map(() => 0);
  const search: Split = {
    ...{ site, u, v, entries, options, area },
    ...{ one: none(), two: none(), spentOne: spent(), spentTwo: spent(), steps: STEPS_PER_SPLIT },
  };
  let found: Repeated[] | undefined;
  descend(search, 0, web, web, () => {
    found = complete(task, search);
    return found !== undefined;
  });
  work.steps -= STEPS_PER_SPLIT - Math.max(0, search.steps) + 4 * entries.length;
  return found;
}

/** The fewest rolls, not below the need, that so many strips in u sets and so many in v sets make. */
function leastMade(need: number, u: number, v: number): number {
  let least = Infinity;
  for (let made = 0; made < need + u && least > need; made += u) {
    least = Math.min(least, made + Math.max(0, Math.ceil((need - made) / v)) * v);
  }
  return least;
}

/** Strips in set one and set two that just make the need, the least over-run first. */
function optionsFor(need: number, room: number, u: number, v: number): [number, number][] {
  const options: [number, number][] = [];
  let fewest = Infinity;
  for (let a = 0; a <= Math.ceil(need / u); a++) {
    const b = Math.max(0, Math.ceil((need - u * a) / v));
    if (b < fewest && u * a + v * b <= room) options.push([a, b]);
    fewest = Math.min(fewest, b);
  }
  return options.sort(([a, b], [c, d]) => u * (a - c) + v * (b - d));
}

function descend(search: Split, i: number, restOne: number, restTwo: number, done: () => boolean): boolean {
  if (--search.steps < 0) return false;
  if (i === search.entries.length) return done();
  const { site, u, v, one, two } = search;
  if (search.area[i] > u * restOne + v * restTwo) return false;
  const k = search.entries[i];
  const width = site.widthsUm[k];
  for (const [a, b] of search.options[i]) {
    const [nextOne, nextTwo] = [restOne - a * width, restTwo - b * width];
    if (nextOne < 0 || nextTwo < 0) continue;
    spend(site, search.spentOne, a, 1);
    spend(site, search.spentTwo, b, 1);
    one[k] = a;
    two[k] = b;
    const within = inBudget(site, search.spentOne) && inBudget(site, search.spentTwo);
    if (within && descend(search, i + 1, nextOne, nextTwo, done)) return true;
    spend(site, search.spentOne, a, -1);
    spend(site, search.spentTwo, b, -1);
    one[k] = 0;
    two[k] = 0;
    if (search.steps < 0) return false;
  }
  return false;
}

function spend(site: Site, spent: number[], strips: number, sign: number): void {
  if (strips === 0) return;
  for (let i = 0; i < spent.length; i++) {
    spent[i] += sign * (strips * site.budgets[i].eachStrip + site.budgets[i].eachWidth);
  }
}

function inBudget(site: Site, spent: number[]): boolean {
  return spent.every((s, i) => s <= site.budgets[i].limit);
}

function complete(task: Task, { site, u, v, one, two }: Split): Repeated[] | undefined {
  const left = task.room.map((most, k) => most - u * one[k] - v * two[k]);
  const parts = [
    { counts: one, times: u },
    { counts: two, times: v },
  ].filter(({ counts }) => counts.some((n) => n > 0));
  const sets: Repeated[] = [];
  for (const { counts, times } of parts) {
    const full = filledUp(site, counts, times, left);
    if (!full) return undefined;
    full.forEach((n, k) => {
      left[k] -= (n - counts[k]) * times;
    });
    sets.push({ counts: full, times });
  }
  return sets;
}

/** The set itself, or filled up with surplus strips until what it leaves can be taken away; undefined if it cannot. */
function filledUp(site: Site, counts: number[], times: number, left: number[]): number[] | undefined {
  if (fits(site, counts)) return counts.slice();
  const full = counts.slice();
  let rest = usableUm(site) - full.reduce((sum, n, k) => sum + n * site.widthsUm[k], 0);
  const widestFirst = full.map((_, k) => k).sort((a, b) => site.widthsUm[b] - site.widthsUm[a]);
  for (const k of widestFirst) {
    for (let n = full[k] - counts[k]; (n + 1) * times <= left[k] && site.widthsUm[k] <= rest; n++) {
      full[k]++;
      rest -= site.widthsUm[k];
      if (fits(site, full)) return full;
    }
  }
  return undefined;
}
