// What a search for fewer patterns works on: what the plan must and may make, what a few sets are needed for beside all
// others, and the sets put back onto the rolls of the plan. What is needed is counted from the least quantity of each
// order, so over-run within tolerance, and surplus that goes to waste, are free to use.
import { fits } from '../bounding/starters.ts';
import { costed, type IntegerPlan } from '../building/integerPlan.ts';
import { atRealSites, firstOfEqual, joined, setsPerSite, stripsMade } from '../model/equalSites.ts';
import type { Model, Pattern, Sets } from '../model/model.ts';
import { needsCap } from '../planRows/demandNotExceeded.ts';
import { type Repeated, type Task, usableUm, type Work } from './replaceSets.ts';

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

/** These sets (at first sites) on the rolls of a plan that cuts no fewer. */
export function onSameRolls({ model, first }: Combining, plan: IntegerPlan, sets: Sets): IntegerPlan {
  const real = atRealSites(model, first, sets, setsPerSite(model, plan.sets));
  if (!real) throw new Error('more sets than the rolls of the plan give');
  return costed(model, real, plan.layouts);
}

/** Each set cut no more often than it is needed for; sets with fillers, which earn money, stay as they are. */
export function withoutSurplus(combining: Combining, sets: Sets): Sets {
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
export function withFillers({ model, most }: Combining, sets: Sets): Sets {
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
