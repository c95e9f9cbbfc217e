// Sources: every way of using a roll of the stock - on which slitter, for which product, coated first or not - with
// what it costs to use it up to a given position, and every walk along its length.
import type { Defect, Problem, Product, Slitter, StockRoll } from '../domain/problem.ts';
import { areaM2 } from '../domain/units.ts';
import { walkPaths } from './lengthPaths.ts';
import type { Demand, Source, StockItem } from './model.ts';
import { leastTrim } from './patternRules/edgeTrim.ts';
import type { SiteRegister } from './sites.ts';
import { mergeLanes } from './webLanes.ts';

/** Rolls that differ in nothing but their name, as one stock item. */
export interface RollGroup extends StockItem {
  roll: StockRoll;
}

/** Groups equal rolls; first expired, first out decides which of them go first. */
export function groupRolls(problem: Problem): RollGroup[] {
  const usable = problem.rolls.filter((roll) => !isExpired(roll, problem));
  const inOrder = [...usable].sort((a, b) => compare(a.useBy ?? '9', b.useBy ?? '9') || compare(a.id, b.id));
  const groups = new Map<string, StockRoll[]>();
  for (const roll of inOrder) {
    const { kind, item, widthUm, lengthMm, costPerRoll, readyOn, defects } = roll;
    const alike = [kind, item, widthUm, lengthMm, costPerRoll, readyOn, JSON.stringify(defects)].join('|');
    groups.set(alike, [...(groups.get(alike) ?? []), roll]);
  }
  return [...groups.values()].map((rolls) => ({
    roll: rolls[0],
    count: rolls.reduce((sum, roll) => sum + roll.count, 0),
    nameOf: (k) => nameAmong(rolls, k),
  }));
}

function nameAmong(rolls: StockRoll[], k: number): string {
  let left = k;
  for (const roll of rolls) {
    if (left < roll.count) return roll.count > 1 ? `${roll.id}#${left + 1}` : roll.id;
    left -= roll.count;
  }
  throw new Error(`roll ${k} asked of a stock item that has fewer`);
}

export function isExpired(roll: StockRoll, problem: Problem): boolean {
  return roll.useBy !== undefined && problem.planOn !== undefined && roll.useBy < problem.planOn;
}

const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

/** All ways of using one stock item. */
export function sourcesOf(
  problem: Problem,
  group: RollGroup,
  stock: number,
  demands: Demand[],
  register: SiteRegister,
): Omit<Source, 'index'>[] {
  return problem.products.flatMap((product) => {
    const coats = group.roll.kind === 'base';
    const serves = coats ? product.coating?.grades.includes(group.roll.item) : group.roll.item === product.id;
    if (!serves || !demands.some((demand) => demand.product === product.id)) return [];
    const slitters = coats ? [] : problem.slitters.filter((slitter) => product.slitters.includes(slitter.id));
    return slitters.map((slitter) =>
      makeSource({ problem, roll: group.roll, stock, product, slitter, coats, demands, register }),
    );
  });
}

interface Making {
  problem: Problem;
  roll: StockRoll;
  stock: number;
  product: Product;
  slitter: Slitter;
  coats: boolean;
  demands: Demand[];
  register: SiteRegister;
}

function makeSource(making: Making): Omit<Source, 'index'> {
  const { roll, stock, product, slitter, coats } = making;
  const loss = coats ? (product.coating?.lossMm ?? 0) : 0;
  const startMm = loss + slitter.leadInMm;
  const keepsStub = stubRule(making);
  const perM2 = coats ? (product.coating?.costPerM2 ?? 0) : 0;
  const holding = making.problem.costs.holdingPerM2;
  return {
    stock,
    slitter,
    product,
    widthUm: roll.widthUm,
    lengthMm: roll.lengthMm,
    startMm,
    coats,
    bad: roll.defects,
    keepsStub,
    charge: (endMm) => {
      const coating = perM2 * areaM2(roll.widthUm, endMm);
      if (!keepsStub(endMm)) return roll.costPerRoll + coating;
      const rest = areaM2(roll.widthUm, roll.lengthMm - endMm);
      return (roll.costPerRoll * endMm) / roll.lengthMm + holding * rest + coating;
    },
    paths: pathsOf(making, startMm),
  };
}

/** A stub is kept when it is long enough, and wide enough for the narrowest wanted strip between its trims. */
function stubRule({ problem, roll, product, slitter, demands }: Making): (endMm: number) => boolean {
  const own = demands.filter((demand) => demand.product === product.id);
  const ordered = own.filter((demand) => demand.filler === undefined);
  const shortest = Math.min(...(ordered.length > 0 ? ordered : own).map((demand) => demand.lengthMm));
  const longEnough = problem.costs.stubKeepMinMm ?? shortest + slitter.leadInMm;
  const { left, right } = leastTrim({ slitter, product });
  const wideEnough = Math.min(...own.map((demand) => demand.widthUm)) + left + right;
  return (endMm) =>
    roll.widthUm >= wideEnough && roll.lengthMm > endMm && roll.lengthMm - endMm >= longEnough;
}

function pathsOf({ roll, product, slitter, demands, register, stock }: Making, startMm: number) {
  const lengths = [...new Set(demands.filter((d) => d.product === product.id).map((d) => d.lengthMm))];
  const alone = lengths.every((length) => startMm + 2 * (length + slitter.tailMm) > roll.lengthMm);
  const wholeRollOf = alone && roll.defects.length === 0 ? stock : undefined;
  const place = { slitter, product, widthUm: roll.widthUm };
  return walkPaths({
    startMm,
    lengthMm: roll.lengthMm,
    kinds: lengths.map((lengthMm) => ({ lengthMm, tailMm: slitter.tailMm })),
    bad: roll.defects,
    siteFor: (kind, fromMm, toMm) => {
      if (toMm + slitter.tailMm > roll.lengthMm) return undefined;
      const lanes = lanesMet(roll.defects, fromMm, toMm);
      return register.siteAt({ ...place, lengthMm: lengths[kind] }, lanes, wholeRollOf)?.index;
    },
  });
}

function lanesMet(defects: Defect[], fromMm: number, toMm: number) {
  const met = defects.filter((defect) => defect.fromMm < toMm && defect.toMm > fromMm);
  return mergeLanes(met.map(({ fromUm, toUm }) => ({ fromUm, toUm })));
}
