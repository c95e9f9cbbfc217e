// A plan with no more places of the knives than allowed, made from one with more: the patterns that are missed least are
// given up one by one, and their rolls fall short. The last resort when no search has found a plan within the limit;
// greedy, so that it always ends with one. What is left is for the integer program to improve.
import type { Effort } from '../bounding/bounding.ts';
import { finish, type IntegerPlan } from '../building/integerPlan.ts';
import { setCost } from '../model/columns.ts';
import { stripsMade } from '../model/equalSites.ts';
import type { Model, Sets } from '../model/model.ts';
import { knifeKey } from '../model/setups.ts';

/** The plan itself when it keeps the limit; undefined when its rolls cannot be laid out again. */
export function withinPatterns(
  model: Model,
  plan: IntegerPlan,
  mostPatterns: number,
  effort: Effort,
): IntegerPlan | undefined {
  let groups = byKnives(model, plan.sets);
  if (groups.length <= mostPatterns) return plan;
  while (groups.length > mostPatterns) {
    const kept = groups;
    const losses = kept.map((group) => lossOf(model, kept.flat(), group));
    const least = losses.indexOf(Math.min(...losses));
    groups = kept.filter((_, g) => g !== least);
  }
  return finish(model, groups.flat(), effort);
}

/** The sets by where their knives stand. */
function byKnives(model: Model, sets: Sets): Sets[] {
  const groups = new Map<string, Sets>();
  for (const item of sets) {
    const key = knifeKey(model, item.pattern);
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  return [...groups.values()];
}

/** What falls short without these sets, less what they cost on the machine. */
function lossOf(model: Model, sets: Sets, group: Sets): number {
  const made = stripsMade(model, sets);
  const lost = stripsMade(model, group);
  const short = model.demands.reduce((sum, demand, d) => {
    const missing = Math.min(lost[d], Math.max(0, demand.min - (made[d] - lost[d])));
    return sum + missing * demand.shortCostPerRoll;
  }, 0);
  return short - group.reduce((sum, { pattern, times }) => sum + times * setCost(model, pattern), 0);
}
