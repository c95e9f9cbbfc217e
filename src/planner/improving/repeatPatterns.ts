// The sequential way of Haessler (Management Science 17, 1971; Operations Research 23, 1975): one pattern after the
// other, each cut many times and with little waste, until what is left can be made by one or two. Here the number of
// sets is given, so the waste that may still be had is known exactly: a pattern that spends more of it is not taken.
// Units: um.
import { pricePatterns } from '../bounding/pricing.ts';
import { oneSet, type Repeated, type Task, twoSets, usableUm, type Work } from './replaceSets.ts';

export interface RepeatOptions {
  random: () => number;
  /** Share of the waste still to be had that one pattern may spend, beyond its share of the sets. */
  tolerance: number;
  work: Work;
}

const PRICING_NODES = 1500;
const TRIES = 6;

/** At most `patterns` sets that do the task; undefined when chance and work find none. */
export function repeatPatterns(task: Task, patterns: number, options: RepeatOptions): Repeated[] | undefined {
  const chosen: Repeated[] = [];
  let left = task;
  for (let open = patterns; open > 2; open--) {
    if (left.need.every((n) => n <= 0)) return chosen;
    const last = oneSet(left);
    if (last) return [...chosen, ...last];
    const next = repeatedSet(left, open, options);
    if (!next) return undefined;
    chosen.push(next);
    left = after(left, next);
  }
  if (left.need.every((n) => n <= 0)) return chosen;
  const end = oneSet(left) ?? (patterns > 1 ? twoSets(left, [], options.work) : undefined);
  return end && [...chosen, ...end];
}

function after(task: Task, { counts, times }: Repeated): Task {
  return {
    site: task.site,
    need: task.need.map((n, k) => Math.max(0, n - counts[k] * times)),
    room: task.room.map((n, k) => n - counts[k] * times),
    times: task.times - times,
  };
}

/** A pattern cut as often as chance suggests or, failing that, less often, whose waste can be afforded. */
function repeatedSet(task: Task, open: number, options: RepeatOptions): Repeated | undefined {
  const { site, need, room } = task;
  const { random, tolerance, work } = options;
  const web = usableUm(site);
  const area = need.reduce((sum, n, k) => sum + n * site.widthsUm[k], 0);
  const spare = task.times * web - area;
  const most = task.times - open + 1;
  let times = Math.max(1, Math.floor(most * Math.min(1, 1.6 * random() ** 1.5 + 1 / open)));
  for (let tried = 0; tried < TRIES && times >= 1 && work.steps > 0; tried++) {
    work.steps -= PRICING_NODES / 3;
    const over = random() < 0.5;
    const strips = need.map((n, k) => stripsEach(n, room[k], times, over));
    const values = site.widthsUm.map(
      (width, k) => (width / web) * usefulShare(need[k], strips[k], times) * (1 + 1e-3 * random()),
    );
    const question = { values, most: strips, above: 0, keep: 1, nodes: PRICING_NODES };
    const [best] = pricePatterns(site, question).patterns;
    if (best) {
      const useful = best.counts.reduce(
        (sum, n, k) => sum + Math.min(need[k], n * times) * site.widthsUm[k],
        0,
      );
      const waste = times * web - useful;
      if (waste <= spare * Math.min(1, times / task.times + tolerance)) return { counts: best.counts, times };
    }
    times = times > 4 ? Math.floor(times * 0.75) : times - 1;
  }
  return undefined;
}

/** Strips of one width that a set may hold: none over, or one rounded up where little of it would run over. */
function stripsEach(need: number, room: number, times: number, over: boolean): number {
  const whole = Math.floor(need / times);
  const mostlyNeeded = need - whole * times >= 0.7 * times;
  return over && mostlyNeeded && (whole + 1) * times <= room ? whole + 1 : whole;
}

/** How much of these strips is needed. */
function usefulShare(need: number, strips: number, times: number): number {
  return strips > 0 ? Math.min(1, need / (strips * times)) : 0;
}
