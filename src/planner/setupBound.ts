// A lower bound on set-ups that holds beside the relaxation's bound: every product and finished length of which
// something must be made needs at least one run, and at least as many patterns as its widths need when a pattern holds
// only so many distinct ones. A width counts only if falling short of all of it would cost more than the plan in hand,
// so the bound is true for every plan that is cheaper; knives that already stand may save one set-up on a slitter.
import type { Model, Site } from './model.ts';
import { setupCost, standingKnives } from './setups.ts';

/** Cost of set-ups that no plan cheaper than `costInHand` can do without. */
export function setupBound(model: Model, costInHand: number): number {
  const groups = new Map<string, number[]>();
  model.demands.forEach((demand, d) => {
    if (demand.min === 0 || demand.min * demand.shortCostPerRoll <= costInHand) return;
    const key = demand.product;
    groups.set(key, [...(groups.get(key) ?? []), d]);
  });
  const needed = [...groups.values()].reduce((sum, demands) => sum + needOf(model, demands), 0);
  return Math.max(0, needed - standingKnives(model));
}

function needOf(model: Model, demands: number[]): number {
  const sites = model.sites.filter((site) => site.demands.some((d) => demands.includes(d)));
  if (sites.length === 0) return 0;
  const widths = new Set(demands.map((d) => model.demands[d].widthUm)).size;
  const most = Math.max(...sites.map((site) => site.place.slitter.maxDistinctWidths));
  const patterns = Math.max(1, Math.ceil(widths / most));
  const isFree = (site: Site) => (site.place.slitter.keptKnivesUm ?? []).length > 0;
  return patterns * Math.min(...sites.map((site) => (isFree(site) ? 0 : setupCost(site))));
}
