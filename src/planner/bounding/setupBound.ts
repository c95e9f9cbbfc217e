// A lower bound on set-ups that holds beside the relaxation's bound. Every width of which something must be made needs
// its place between the knives, and one setting has room for only so many: across the web, in number of strips, and of
// distinct widths with waste strips beside them. Not for each product: strips of one may be slit out as waste in runs
// of the other, and so both be cut with one setting. A width counts only if falling short of all of it would cost more
// than the plan in hand, so the bound is true for every plan that is cheaper; knives that already stand or
// are kept ready may save a set-up each.
import type { Model, Site } from '../model/model.ts';
import { setupCost, standingKnives } from '../model/setups.ts';
import { usableBySetting } from './settingsBound.ts';

/** Cost of set-ups that no plan cheaper than `costInHand` can do without. */
export function setupBound(model: Model, costInHand: number): number {
  const needed = model.demands
    .map((_, d) => d)
    .filter((d) => model.demands[d].min * model.demands[d].shortCostPerRoll > costInHand);
  const cost = apart(model, needed).reduce((sum, demands) => sum + needOf(model, demands), 0);
  return Math.max(0, cost - standingKnives(model));
}

/** The demands in groups that have no slitter in common. */
function apart(model: Model, demands: number[]): number[][] {
  let groups: { demands: number[]; slitters: Set<string> }[] = [];
  for (const d of demands) {
    const slitters = new Set(sitesOf(model, [d]).map(({ place }) => place.slitter.id));
    if (slitters.size === 0) continue;
    const met = groups.filter((group) => [...slitters].some((id) => group.slitters.has(id)));
    const joined = { demands: [d, ...met.flatMap((group) => group.demands)], slitters };
    for (const group of met) for (const id of group.slitters) slitters.add(id);
    groups = [...groups.filter((group) => !met.includes(group)), joined];
  }
  return groups.map((group) => group.demands);
}

const sitesOf = (model: Model, demands: number[]) =>
  model.sites.filter((site) => site.demands.some((d) => demands.includes(d)));

function needOf(model: Model, demands: number[]): number {
  const sites = sitesOf(model, demands);
  const widths = [...new Set(demands.map((d) => model.demands[d].widthUm))];
  const across = widths.reduce((sum, width) => sum + width, 0) / usableBySetting(sites);
  const distinct = widths.length / Math.max(...sites.map(mostWidths));
  return Math.ceil(Math.max(across, distinct) - 1e-9) * Math.min(...sites.map(setupCost));
}

/** Distinct widths that one setting can serve, in several runs. */
function mostWidths({ place: { slitter } }: Site): number {
  return Math.min(slitter.maxStrips, slitter.maxDistinctWidths + slitter.maxWasteStrips);
}
