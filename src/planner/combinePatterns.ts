// Fewer patterns in no more sets: two patterns become one and three become two wherever one or two others make what
// they are needed for (Foerster & Waescher, International Journal of Production Research 38, 2000). What a pattern is
// needed for is what the others leave of the least quantity of each order, so over-run within tolerance, and surplus
// that goes to waste, are used up on the way. Sets beside bad lanes are left as they are.
import {
  atFirstSites,
  atRealSites,
  firstOfEqual,
  joined,
  type Sets,
  setsPerSite,
  stripsMade,
} from './equalSites.ts';
import { costed, type IntegerPlan } from './integerPlan.ts';
import type { Model, Pattern } from './model.ts';
import { needsCap } from './planRows/demandNotExceeded.ts';
import { oneSet, type Repeated, type Task, twoSets, usableUm, type Work } from './replaceSets.ts';
import { fits } from './starters.ts';

/** What every plan must make, what it may make, and what earlier searches found. */
export interface Combining {
  model: Model;
  first: number[];
  /** Strips of each demand that must be made, and that may be. */
  least: number[];
  most: number[];
  /** Whether `most` limits anything. */
  capped: boolean;
  work: Work;
  /** Answers to tasks asked before; a task comes up again after every change elsewhere. */
  known: Map<string, Repeated[] | undefined>;
  /** Sets of which no pair or triple combined when they were last met together. */
  tried: WeakSet<Sets[number]>;
}

export interface CombineOptions {
  /** Takes the pairs and triples in this order of chance instead of those cut fewest times first. */
  random?: () => number;
  /** Steps of search: about a million in half a second. */
  work: number;
}

/** Opens a search that keeps the plan's shortfall. */
export function openCombining(model: Model, plan: IntegerPlan, work: Work): Combining {
  const most = model.demands.map((demand, d) => (needsCap(model, d) ? demand.max : Infinity));
  return {
    model,
    first: firstOfEqual(model),
    least: model.demands.map((demand, d) => demand.min - plan.short[d]),
    most,
    capped: most.some(Number.isFinite),
    work,
    known: new Map(),
    tried: new WeakSet(),
  };
}

/** The plan with no more patterns, sets at each site, rolls or shortfall than before; usually with fewer patterns. */
export function combinePatterns(model: Model, plan: IntegerPlan, options: CombineOptions): IntegerPlan {
  const combining = openCombining(model, plan, { steps: options.work });
  const sets = combineSets(combining, atFirstSites(combining.first, plan.sets), options.random);
  return onSameRolls(combining, plan, sets);
}

/** These sets (at first sites) on the rolls of a plan that cuts no fewer. */
export function onSameRolls({ model, first }: Combining, plan: IntegerPlan, sets: Sets): IntegerPlan {
  const real = atRealSites(model, first, sets, setsPerSite(model, plan.sets));
  if (!real) throw new Error('more sets than the rolls of the plan give');
  return costed(model, real, plan.layouts);
}

/** Combines until nothing combines any more or the work is done. Sets are at first sites. */
export function combineSets(combining: Combining, sets: Sets, random?: () => number): Sets {
  let current = withoutSurplus(combining, joined(sets));
  for (;;) {
    const fewer = combineOnce(combining, current, 0, random);
    if (!fewer) break;
    current = withoutSurplus(combining, fewer);
  }
  for (const item of current) combining.tried.add(item);
  return withFillers(combining, current);
}

/**
 * The first pairs and triples that one pattern fewer can replace in at most `extra` more sets; as many as do not
 * overlap when no sets are added. Those that did not combine before are passed over then.
 */
export function combineOnce(
  combining: Combining,
  sets: Sets,
  extra: number,
  random?: () => number,
): Sets | undefined {
  let current = sets;
  const gone = new Set<number>();
  let made = stripsMade(combining.model, sets);
  for (const size of [2, 3]) {
    for (const group of groupsOf(combining, sets, size, extra > 0, random)) {
      if (combining.work.steps <= 0) break;
      if (group.some((i) => gone.has(i))) continue;
      const found = replacement(combining, taskFor(combining, sets, made, group, extra), sets, group);
      if (!found) continue;
      current = replaced(
        current,
        group.map((i) => sets[i]),
        found,
      );
      if (extra > 0) return current;
      for (const i of group) gone.add(i);
      made = stripsMade(combining.model, current);
    }
    if (gone.size > 0) return current;
  }
  return undefined;
}

/** What the chosen sets are needed for, and may make, beside all others. */
export function taskFor(
  { model, least, most }: Combining,
  sets: Sets,
  made: number[],
  chosen: number[],
  extra: number,
): Task {
  const site = model.sites[sets[chosen[0]].pattern.site];
  const need = site.demands.map((d) => least[d] - made[d]);
  const room = site.demands.map((d) => most[d] - made[d]);
  let total = extra;
  for (const i of chosen) {
    const { pattern, times } = sets[i];
    total += times;
    for (let k = 0; k < need.length; k++) {
      need[k] += pattern.counts[k] * times;
      room[k] += pattern.counts[k] * times;
    }
  }
  for (let k = 0; k < need.length; k++) need[k] = Math.max(0, need[k]);
  return { site, need, room, times: total };
}

export function replaced(sets: Sets, chosen: Sets, by: Repeated[]): Sets {
  const { site } = chosen[0].pattern;
  const kept = sets.filter((item) => !chosen.includes(item));
  return joined([...kept, ...by.map(({ counts, times }) => ({ pattern: { site, counts }, times }))]);
}

/** Pairs or triples of sets at one site, as indexes; those tried before only when asked for. */
function groupsOf(
  { model, tried }: Combining,
  sets: Sets,
  size: number,
  again: boolean,
  random?: () => number,
): number[][] {
  const groups: number[][] = [];
  const siteOf = sets.map((item) => item.pattern.site);
  const fresh = sets.map((item) => again || !tried.has(item));
  for (let a = 0; a < sets.length; a++) {
    if (model.sites[siteOf[a]].web.length > 1) continue;
    for (let b = a + 1; b < sets.length; b++) {
      if (siteOf[b] !== siteOf[a]) continue;
      const either = fresh[a] || fresh[b];
      if (size === 2 && either) groups.push([a, b]);
      for (let c = b + 1; size === 3 && c < sets.length; c++) {
        if (siteOf[c] === siteOf[a] && (either || fresh[c])) groups.push([a, b, c]);
      }
    }
  }
  const rank = random ?? ((group: number[]) => group.reduce((sum, i) => sum + sets[i].times, 0));
  return groups
    .map((group) => ({ group, by: rank(group) }))
    .sort((x, y) => x.by - y.by)
    .map(({ group }) => group);
}

/** One pattern for two, one or two for three; the answer is kept for when the question comes again. */
function replacement(combining: Combining, task: Task, sets: Sets, group: number[]): Repeated[] | undefined {
  combining.work.steps -= 5 + task.need.length;
  if (task.need.every((n) => n === 0)) return [];
  if (group.length === 2) return oneSet(task);
  const key = `${task.site.index}|${task.times}|${task.need}|${combining.capped ? task.room : ''}`;
  if (combining.known.has(key)) return combining.known.get(key);
  const hints = group.map((i) => sets[i].times);
  const sums = hints.map((t) => task.times - t);
  const found = oneSet(task) ?? twoSets(task, [...hints, ...sums], combining.work);
  if (combining.work.steps > 0) combining.known.set(key, found);
  return found;
}

/** Each set cut no more often than it is needed for; sets with fillers, which earn money, stay as they are. */
function withoutSurplus(combining: Combining, sets: Sets): Sets {
  const { model } = combining;
  const lean = sets.slice();
  const fewestFirst = lean.map((_, i) => i).sort((a, b) => lean[a].times - lean[b].times);
  for (const i of fewestFirst) {
    const { pattern, times } = lean[i];
    const { demands } = model.sites[pattern.site];
    if (pattern.counts.some((n, k) => n > 0 && model.demands[demands[k]].valuePerRoll > 0)) continue;
    const { need } = taskFor(combining, lean, stripsMade(model, lean), [i], 0);
    const wanted = pattern.counts.map((n, k) => (n > 0 ? Math.ceil(need[k] / n) : 0));
    const most = Math.max(...wanted);
    if (most < times) lean[i] = { pattern, times: most };
  }
  return lean.filter((item) => item.times > 0);
}

/** Fillers added to every set that has room for them, the dearest per width first. */
function withFillers({ model, most }: Combining, sets: Sets): Sets {
  if (model.demands.every((demand) => demand.valuePerRoll <= 0)) return sets;
  const made = stripsMade(model, sets);
  const filled = sets.map((item) => {
    const { pattern, times } = item;
    const site = model.sites[pattern.site];
    const worth = (k: number) => model.demands[site.demands[k]].valuePerRoll / site.widthsUm[k];
    const fillers = site.demands.map((_, k) => k).filter((k) => worth(k) > 0);
    const counts = pattern.counts.slice();
    let rest = usableUm(site) - counts.reduce((sum, n, k) => sum + n * site.widthsUm[k], 0);
    for (const k of fillers.sort((a, b) => worth(b) - worth(a))) {
      const d = site.demands[k];
      const oneMore = () => fits(site, counts.with(k, counts[k] + 1));
      while (site.widthsUm[k] <= rest && made[d] + times <= most[d] && oneMore()) {
        counts[k]++;
        made[d] += times;
        rest -= site.widthsUm[k];
      }
    }
    const more: Pattern = { site: pattern.site, counts };
    return counts.every((n, k) => n === pattern.counts[k]) ? item : { pattern: more, times };
  });
  return joined(filled);
}
