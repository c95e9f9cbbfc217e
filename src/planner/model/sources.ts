// Sources: every way of using a roll of the stock - on which slitter, for which product, coated first or not - with
// what it costs to use it up to a given position, and every walk along its length.
import type { Defect, Problem, Product, Slitter, StockRoll } from '../../domain/problem.ts';
import { areaM2, type IsoDate, mm } from '../../domain/units.ts';
import { leastTrim } from '../patternRules/edgeTrim.ts';
import { cutOutsOf, isFullWidth } from './cutOuts.ts';
import { readyDay } from './lateness.ts';
import { walkPaths } from './lengthPaths.ts';
import type { Demand, Source, StockItem } from './model.ts';
import type { SiteRegister } from './sites.ts';
import { mergeLanes } from './webLanes.ts';

/** Rolls that differ in nothing but their name, as one stock item. */
export interface RollGroup extends StockItem {
  roll: StockRoll;
}

/** Groups equal rolls, in the order in which they are to be used: first expired, first out, then old stubs. */
export function groupRolls(problem: Problem): RollGroup[] {
  const usable = problem.rolls.filter((roll) => !isExpired(roll, problem));
  const inOrder = [...usable].sort((a, b) => compare(whenToUse(a), whenToUse(b)) || compare(a.id, b.id));
  const groups = new Map<string, StockRoll[]>();
  for (const roll of inOrder) {
    const { kind, item, widthUm, lengthMm, costPerRoll, readyOn, defects } = roll;
    const marks = JSON.stringify([defects, roll.begun]);
    // an old stub is a roll like any other, unless using it up is worth something
    const sort = kind === 'base' || (kind === 'stub' && problem.costs.stubUseUp > 0) ? kind : '';
    const alike = [sort, item, widthUm, lengthMm, costPerRoll, readyOn, marks].join('|');
    groups.set(alike, [...(groups.get(alike) ?? []), roll]);
  }
  return [...groups.values()].map((rolls) => ({
    roll: rolls[0],
    count: rolls.reduce((sum, roll) => sum + roll.count, 0),
    nameOf: (k) => nameAmong(rolls, k),
  }));
}

/** Sorts as text: use-by day, stubs first within a day. */
function whenToUse({ useBy, kind }: StockRoll): string {
  return `${useBy ?? '9'} ${kind === 'stub' ? 0 : 1}`;
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
    const slitters = problem.slitters.filter(
      ({ id }) => product.slitters.includes(id) && (group.roll.begun?.slitter ?? id) === id,
    );
    return slitters.map((slitter) =>
      makeSource({
        ...{ problem, roll: group.roll, stock, product, slitter, coats, demands, register },
        bought: group.bought !== undefined,
      }),
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
  /** Paid whole, whatever is cut from it. */
  bought: boolean;
  demands: Demand[];
  register: SiteRegister;
}

function makeSource(making: Making): Omit<Source, 'index'> {
  const { problem, roll, stock, product, slitter, coats } = making;
  const coating = coats ? product.coating : undefined;
  const lossMm = coating?.lossMm ?? 0;
  const lengthMm = roll.lengthMm - lossMm;
  const keepsStub = stubRule(making, lengthMm);
  const coatedUm = coating ? roll.widthUm - coating.coatFreeEdgeUm.left - coating.coatFreeEdgeUm.right : 0;
  const { holdingPerM2, perSplice, stubUseUp } = problem.costs;
  const useUp = roll.kind === 'stub' ? Math.min(stubUseUp, roll.costPerRoll) : 0;
  const bad = roll.defects.flatMap((defect) =>
    onWeb(defect, lossMm - (coats ? slitter.leadInMm : 0), lengthMm),
  );
  const charge = (endMm: number) => {
    const coatingCost = (coating?.costPerM2 ?? 0) * areaM2(coatedUm, endMm);
    if (making.bought || !keepsStub(endMm)) return roll.costPerRoll - useUp + coatingCost;
    const share = (roll.costPerRoll * (lossMm + endMm)) / roll.lengthMm;
    return share + holdingPerM2 * areaM2(roll.widthUm, lengthMm - endMm) + coatingCost;
  };
  const readyOn = readyDay(problem, roll.readyOn, coating?.leadDays ?? 0);
  const alreadyCharged = roll.begun ? charge(roll.begun.usedMm) : 0;
  return {
    stock,
    slitter,
    product,
    widthUm: roll.widthUm,
    lengthMm,
    lossMm,
    startMm: firstSetAt(roll, slitter),
    coats,
    bad,
    readyOn,
    keepsStub,
    perSplice,
    useUp,
    lostPerMm: making.bought
      ? 0
      : Math.max(0, roll.costPerRoll / roll.lengthMm - holdingPerM2 * areaM2(roll.widthUm, 1)),
    charge: (endMm) => charge(endMm) - alreadyCharged,
    paths: pathsOf(making, bad, lengthMm, readyOn),
  };
}

/** Behind the lead-in; on a roll that is begun, behind what is already taken of it. */
function firstSetAt({ begun }: StockRoll, { leadInMm }: Slitter): number {
  return Math.max(leadInMm, begun?.usedMm ?? 0);
}

/** A bad place as seen along the walk, which starts `aheadMm` further in; nothing when it lies outside. */
function onWeb(defect: Defect, aheadMm: number, lengthMm: number): Defect[] {
  const fromMm = Math.max(0, defect.fromMm - aheadMm);
  const toMm = Math.min(lengthMm, defect.toMm - aheadMm);
  return fromMm < toMm ? [{ ...defect, fromMm: mm(fromMm), toMm: mm(toMm) }] : [];
}

/** A stub is kept when it is long enough, and wide enough for the narrowest wanted strip between its trims. */
function stubRule(making: Making, lengthMm: number): (endMm: number) => boolean {
  const { problem, roll, product, slitter, demands } = making;
  const own = demands.filter((demand) => demand.product === product.id);
  const ordered = own.filter((demand) => demand.filler === undefined);
  const shortest = Math.min(...(ordered.length > 0 ? ordered : own).map((demand) => demand.lengthMm));
  const longEnough = problem.costs.stubKeepMinMm ?? shortest + slitter.leadInMm;
  const { left, right } = leastTrim({ slitter, product });
  const wideEnough = Math.min(...own.map((demand) => demand.widthUm)) + left + right;
  return (endMm) => roll.widthUm >= wideEnough && lengthMm > endMm && lengthMm - endMm >= longEnough;
}

/**
 * Walks along the web from its outer end. A roll that is coated first is walked from the other end, as the coater
 * turns it round: its sets are then cut in the reverse of the walk, each behind its tail.
 */
function pathsOf(
  { roll, product, slitter, coats, demands, register, stock }: Making,
  bad: Defect[],
  lengthMm: number,
  readyOn: IsoDate | undefined,
) {
  const startMm = firstSetAt(roll, slitter);
  const { tailMm } = slitter;
  const lengths = [...new Set(demands.filter((d) => d.product === product.id).map((d) => d.lengthMm))];
  const alone = lengths.every((length) => startMm + 2 * (length + tailMm) > lengthMm);
  const wholeRollOf = alone && bad.length === 0 ? stock : undefined;
  const place = { slitter, product, widthUm: roll.widthUm };
  const lanes = bad.filter((defect) => !isFullWidth(defect, roll.widthUm));
  return walkPaths({
    startMm,
    lengthMm,
    kinds: lengths.map((length) => ({ lengthMm: length, tailMm })),
    bad,
    cutOuts: cutOutsOf(bad, roll.widthUm),
    maxSplices: product.maxSplicesPerRoll,
    tailFirst: coats,
    sitesFor: (kind, fromMm, toMm) => {
      const met = lanesMet(lanes, fromMm, toMm);
      return register
        .sitesAt({ ...place, lengthMm: lengths[kind] }, met, { wholeRollOf, readyOn })
        .map(({ index }) => index);
    },
  });
}

function lanesMet(defects: Defect[], fromMm: number, toMm: number) {
  const met = defects.filter((defect) => defect.fromMm < toMm && defect.toMm > fromMm);
  return mergeLanes(met.map(({ fromUm, toUm }) => ({ fromUm, toUm })));
}
