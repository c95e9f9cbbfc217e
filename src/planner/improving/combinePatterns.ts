// Fewer patterns in no more sets: two patterns become one and three become two wherever one or two others make what
// they are needed for (Foerster & Waescher, International Journal of Production Research 38, 2000). Sets beside bad
// lanes are left as they are.
import type { IntegerPlan } from '../building/integerPlan.ts';
import { atFirstSites, joined, stripsMade } from '../model/equalSites.ts';
import type { Model, Sets } from '../model/model.ts';
import {
  type Combining,
  onSameRolls,
  openCombining,
  replaced,
  taskFor,
  withFillers,
  withoutSurplus,
} from './combining.ts';
import { oneSet, type Repeated, type Task, twoSets } from './replaceSets.ts';

export interface CombineOptions {
  /** Takes the pairs and triples in this order of chance instead of those cut fewest times first. */
  random?: () => number;
  /** Steps of search: about a million in half a second. */
  work: number;
}

/** The plan with no more patterns, sets at each site, rolls or shortfall than before; usually with fewer patterns. */
export function combinePatterns(model: Model, plan: IntegerPlan, options: CombineOptions): IntegerPlan {
  const combining = openCombining(model, plan, { steps: options.work });
  const sets = combineSets(combining, atFirstSites(combining.first, plan.sets), options.random);
  return onSameRolls(combining, plan, sets);
}

/** Combines until nothing combines any more or the work is done. Sets are at first sites. */
export function combineSets(combining: Combining, sets: Sets, random?: () => number): Sets {
  let current = withoutSurplus(combining, joined(sets));
  for (;;) {
    const fewer = combineOnce(combining, current, 0, random);
    if (!fewer) break;
    current = withoutSurplus(combining, fewer);
  }
  const filled = withFillers(combining, current);
  for (const item of filled) combining.tried.add(item);
  return filled;
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
