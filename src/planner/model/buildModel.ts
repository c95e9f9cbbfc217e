// From the problem to the planner's view of it: demands merged, rolls grouped, sites and sources found.
import type { Problem } from '../../domain/problem.ts';
import { shortPricePerM2 } from '../../domain/shortPrice.ts';
import { mergeDemands } from './demands.ts';
import { lateCostOf } from './lateness.ts';
import type { Model, Source } from './model.ts';
import { offeredRolls } from './offers.ts';
import { openSites } from './sites.ts';
import { groupRolls, sourcesOf } from './sources.ts';

export function buildModel(problem: Problem): Model {
  const demands = mergeDemands(problem, problem.costs.perShortM2 ?? shortPricePerM2(problem));
  const register = openSites(demands, lateCostOf(problem));
  const stock = [...groupRolls(problem), ...offeredRolls(problem, demands)];
  const found = stock.flatMap((group, s) => sourcesOf(problem, group, s, demands, register));
  const useful = found.filter((source) => source.paths.edges.some((edge) => edge.site >= 0));
  const sources: Source[] = useful.map((source, index) => ({ ...source, index }));
  const sites = register.sites.map((site) => ({
    ...site,
    wholeRollOf: site.wholeRollOf === undefined ? undefined : sourceOfSite(sources, site.index),
  }));
  const refusals = new Map([...register.refusals].map(([order, why]) => [order, [...why]]));
  const offers = problem.offers.map(({ minOrderKg, pricePerKg }) => ({
    ...{ minKg: minOrderKg, pricePerKg, taken: undefined },
  }));
  const model = { demands, sites, stock, offers, sources, refusals, costStep: 0 };
  return { ...model, costStep: costStep(model) };
}

/** A site bound to whole rolls has exactly one source: its register key names the stock item and the slitter. */
function sourceOfSite(sources: Source[], site: number): number {
  return sources.findIndex((source) => source.paths.edges.some((edge) => edge.site === site));
}

/**
 * The step between possible costs, set-ups left out, when every set, roll and filler costs a whole multiple of it, as
 * when rolls are counted. Falling short may cost any amount, provided that a single roll fallen short costs a step more than the
 * dearest roll of stock: then no plan that falls short lies between a bound and the next step above it. There is no
 * step where a minimum order may ask for rolls that nothing is cut from.
 */
function costStep({ demands, sites, stock, offers, sources }: Model): number {
  const rolls = sources.flatMap((source) =>
    source.paths.edges.map((edge) => source.charge(source.paths.positionsMm[edge.to])),
  );
  if (stock.some((item) => item.bought && offers[item.bought.offer].minKg > 0)) return 0;
  const costs = [...sites.flatMap((site) => [site.costPerSet, ...site.costPerStrip]), ...rolls];
  if (!costs.every((cost) => Number.isInteger(cost))) return 0;
  const step = costs.reduce(gcd, 0);
  const dearest = Math.max(0, ...rolls);
  return demands.every((d) => d.min === 0 || d.shortCostPerRoll >= dearest + step) ? step : 0;
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}
