// The steps of a dive: what of a relaxation is fixed next, and what that leaves.
import type { Relaxation } from '../bounding/bounding.ts';
import { fits } from '../bounding/starters.ts';
import { type Column, patternColumn } from '../model/columns.ts';
import type { Model, Pattern, Sets } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';

export interface DiveChoice {
  /** Added to a fraction before the largest is rounded up: 0 for the plain dive. */
  nudge(): number;
}

const WHOLE = 1e-6;
/** Fractions from here on are rounded up together. */
export const ROUND_TOGETHER = 0.6;

/** What the relaxation cuts in whole numbers; undefined when it cuts nothing so. */
export function takeWhole(model: Model, { columns, values }: Relaxation, remaining: Remaining) {
  const taken: Sets = [];
  const left = structuredClone(remaining);
  columns.forEach((column, j) => {
    const times = Math.floor(values[j] + WHOLE);
    if (column.kind !== 'pattern' || times < 1) return;
    const possible = Math.min(times, mostTimes(model, left, column.pattern));
    if (possible < 1) return;
    taken.push({ pattern: column.pattern, times: possible });
    use(model, left, { pattern: column.pattern, times: possible });
  });
  return taken.length > 0 ? taken : undefined;
}

/** The largest fraction rounded up, and with it all from `together` on. */
export function takeLargest(
  model: Model,
  relaxation: Relaxation,
  remaining: Remaining,
  choice: DiveChoice,
  together: number,
) {
  const taken: Sets = [];
  const left = structuredClone(remaining);
  for (const { pattern: whole, rank } of fractionsOf(relaxation, choice)) {
    if (taken.length > 0 && rank < together) break;
    const pattern = cutDown(model, left, whole);
    if (!pattern || (taken.length > 0 && pattern !== whole) || mostTimes(model, left, pattern) < 1) continue;
    taken.push({ pattern, times: 1 });
    use(model, left, { pattern, times: 1 });
  }
  return taken;
}

/** Each of the largest fractions rounded up alone, at most so many. */
export function roundedUp(model: Model, relaxation: Relaxation, remaining: Remaining, most: number) {
  const found: Sets = [];
  for (const { pattern: whole } of fractionsOf(relaxation, { nudge: () => 0 })) {
    if (found.length === most) break;
    const pattern = cutDown(model, remaining, whole);
    if (pattern && mostTimes(model, remaining, pattern) > 0) found.push({ pattern, times: 1 });
  }
  return found;
}

/** Largest first. */
function fractionsOf({ columns, values }: Relaxation, choice: DiveChoice) {
  return columns
    .flatMap((column, j) =>
      column.kind === 'pattern' && values[j] > WHOLE
        ? [{ pattern: column.pattern, j, rank: values[j] + choice.nudge() }]
        : [],
    )
    .sort((a, b) => b.rank - a.rank || a.j - b.j);
}

/** The set with no more strips than may still be made; undefined when nothing or nothing possible is left of it. */
function cutDown(model: Model, remaining: Remaining, pattern: Pattern): Pattern | undefined {
  const site = model.sites[pattern.site];
  const cap = model.costStep > 0 ? remaining.min : remaining.max;
  const counts = pattern.counts.map((n, k) => Math.min(n, Math.max(0, cap[site.demands[k]])));
  if (counts.every((n, k) => n === pattern.counts[k])) return pattern;
  if (counts.every((n) => n === 0) || !fits(site, counts)) return undefined;
  return { site: pattern.site, counts };
}

function mostTimes(model: Model, remaining: Remaining, { site, counts }: Pattern): number {
  const { demands, wholeRollOf } = model.sites[site];
  const rolls = wholeRollOf === undefined ? Infinity : remaining.stock[model.sources[wholeRollOf].stock];
  return counts.reduce(
    (most, n, k) => (n > 0 ? Math.min(most, Math.floor(Math.max(0, remaining.max[demands[k]]) / n)) : most),
    rolls,
  );
}

/** Takes sets off what remains. */
export function use(model: Model, remaining: Remaining, { pattern, times }: Sets[number]): void {
  const site = model.sites[pattern.site];
  pattern.counts.forEach((n, k) => {
    remaining.min[site.demands[k]] -= n * times;
    remaining.max[site.demands[k]] -= n * times;
  });
  if (site.wholeRollOf === undefined) remaining.slotsOwed[site.index] += times;
  else remaining.stock[model.sources[site.wholeRollOf].stock] -= times;
}

/** The columns that can still be used for what remains, at what they cost now. */
export function stillOfUse(model: Model, remaining: Remaining, columns: Column[], setups: boolean): Column[] {
  return columns
    .filter((column) => stillFits(model, remaining, column))
    .map((column) => recosted(model, column, setups ? remaining.max : undefined));
}

function stillFits(model: Model, remaining: Remaining, column: Column): boolean {
  if (column.kind === 'layout') return true;
  if (column.kind !== 'pattern') return false;
  const { demands } = model.sites[column.pattern.site];
  const cap = model.costStep > 0 ? remaining.min : remaining.max;
  return column.pattern.counts.every((n, k) => n <= Math.max(0, cap[demands[k]]));
}

function recosted(model: Model, column: Column, max: number[] | undefined): Column {
  return column.kind === 'pattern' ? patternColumn(model, column.pattern, max) : column;
}
