// Sites: where one kind of set can be cut. A register makes each site once, since rolls of equal width share their
// patterns whatever roll they come from, and remembers why a strip or a place was refused.
import { setMinutes } from '../../domain/filmMath.ts';
import { type IsoDate, mmToM } from '../../domain/units.ts';
import { leastTrim } from '../patternRules/edgeTrim.ts';
import type { Budget, Place } from '../patternRules/rule.ts';
import { patternRules } from '../patternRules/rules.ts';
import type { LateCost } from './lateness.ts';
import type { Demand, Site } from './model.ts';
import { type FreeWeb, freeWebs, type Lane, usableWeb } from './webLanes.ts';

export interface SiteRegister {
  sites: Site[];
  refusals: Map<number, Set<string>>;
  /** The sites for this place beside these bad lanes, by choice of free stretches; none when no wanted strip fits. */
  sitesAt(place: Place, bad: Lane[], of: OfRoll): Site[];
}

/** What matters of the roll behind a site. */
export interface OfRoll {
  wholeRollOf: number | undefined;
  readyOn: IsoDate | undefined;
}

export function openSites(demands: Demand[], lateCost: LateCost): SiteRegister {
  const byLanes = new Map<string, Site[]>();
  const byWeb = new Map<string, Site>();
  const sites: Site[] = [];
  const refusals = new Map<number, Set<string>>();
  const refuse = (demand: number, why: string) => {
    for (const order of demands[demand].orders) {
      refusals.set(order, (refusals.get(order) ?? new Set()).add(why));
    }
  };
  const lateAt = rememberedLateness(demands, lateCost);
  const siteWith = (made: Site, wholeRollOf: number | undefined, late: Lateness) => {
    const key = siteKey(made.place, made.web, wholeRollOf, late);
    if (!byWeb.has(key)) {
      const costPerStrip = made.demands.map((d) => late.costs[d] - demands[d].valuePerRoll);
      byWeb.set(key, { ...made, index: sites.length, costPerStrip, wholeRollOf });
      sites.push(byWeb.get(key) as Site);
    }
    return byWeb.get(key) as Site;
  };
  return {
    sites,
    refusals,
    sitesAt(place, bad, { wholeRollOf, readyOn }) {
      const late = lateAt(place, readyOn);
      const key = siteKey(place, bad, wholeRollOf, late);
      const known = byLanes.get(key);
      if (known) return known;
      const made = edgesAt(place, demands).flatMap((awayFromEdgeUm) =>
        makeSites({ ...place, awayFromEdgeUm }, bad, demands, refuse),
      );
      const found = made.map((site) => siteWith(site, wholeRollOf, late));
      byLanes.set(key, found);
      return found;
    },
  };
}

/** Unavoidable lateness of a strip of each demand; places with equal marks are alike in it. */
interface Lateness {
  costs: number[];
  mark: string;
}

function rememberedLateness(demands: Demand[], lateCost: LateCost) {
  const known = new Map<string, Lateness>();
  return (place: Place, readyOn: IsoDate | undefined): Lateness => {
    const key = [place.product.id, place.slitter.id, place.lengthMm, readyOn].join('|');
    const before = known.get(key);
    if (before) return before;
    const costs = demands.map((demand) => (isOf(demand, place) ? lateCost(place, readyOn, demand) : 0));
    const late = { costs, mark: costs.some((cost) => cost > 0) ? costs.join(' ') : '' };
    known.set(key, late);
    return late;
  };
}

function siteKey(
  { slitter, product, widthUm, lengthMm, awayFromEdgeUm }: Place,
  lanes: Lane[],
  roll: number | undefined,
  { mark }: Lateness,
): string {
  const across = lanes.map(({ fromUm, toUm }) => `${fromUm}-${toUm}`).join(',');
  return [product.id, slitter.id, widthUm, lengthMm, across, roll, mark, awayFromEdgeUm].join('|');
}

/** The edge trims that wanted strips ask for here; each is a kind of set of its own. 0: no more than is trimmed anyway. */
function edgesAt(place: Place, demands: Demand[]): number[] {
  const own = demands.filter((demand) => isOf(demand, place)).map((demand) => askedEdge(place, demand));
  return [...new Set(own)].sort((a, b) => a - b);
}

function askedEdge({ slitter, product }: Place, { awayFromEdgeUm }: Demand): number {
  const { left, right } = leastTrim({ slitter, product });
  return awayFromEdgeUm <= Math.min(left, right) ? 0 : awayFromEdgeUm;
}

function makeSites(
  place: Place,
  bad: Lane[],
  demands: Demand[],
  refuse: (demand: number, why: string) => void,
): Site[] {
  const fitting = fittingDemands(place, demands, refuse);
  if (fitting.length === 0) return [];
  const narrowestUm = Math.min(...fitting.map((d) => demands[d].widthUm));
  const siteOn = (web: FreeWeb) => makeSite(place, web, narrowestUm, fitting, demands);
  const [whole] = freeWebs(place, bad, narrowestUm, false).map(siteOn);
  if (!whole) return [];
  const isLimited = whole.web.length > 1 && whole.budgets.some((budget) => budget.eachWaste > 0);
  return isLimited ? freeWebs(place, bad, narrowestUm, true).map(siteOn) : [whole];
}

const isOf = ({ product, lengthMm }: Demand, place: Place) =>
  product === place.product.id && lengthMm === place.lengthMm;

/** The demands that can be cut at this place where no lane is bad; why others cannot is told. */
function fittingDemands(
  place: Place,
  demands: Demand[],
  refuse: (demand: number, why: string) => void,
): number[] {
  const placeRefusal = patternRules
    .map((rule) => rule.refusesPlace?.(place))
    .find((why) => why !== undefined);
  const { fromUm, toUm } = usableWeb(place);
  return demands.flatMap((demand, d) => {
    const { widthUm, max } = demand;
    if (!isOf(demand, place) || max === 0 || askedEdge(place, demand) > (place.awayFromEdgeUm ?? 0))
      return [];
    const why = placeRefusal ?? stripRefusal(place, widthUm) ?? tooWide(place, widthUm, toUm - fromUm);
    if (why) refuse(d, why);
    return why === undefined ? [d] : [];
  });
}

function makeSite(
  place: Place,
  web: FreeWeb,
  narrowestUm: number,
  fitting: number[],
  demands: Demand[],
): Site {
  const widest = Math.max(...web.map((s) => s.toUm - s.fromUm));
  const own = fitting.filter((d) => demands[d].widthUm <= widest);
  return {
    index: 0,
    place,
    web,
    trimSlackUm: slackOf(place, web),
    budgets: budgetsAt(place, web, narrowestUm),
    demands: own,
    widthsUm: own.map((d) => demands[d].widthUm),
    costPerStrip: [],
    costPerSet: costPerSet(place),
    wholeRollOf: undefined,
  };
}

function stripRefusal(place: Place, widthUm: number): string | undefined {
  return patternRules.map((rule) => rule.refusesStrip?.(place, widthUm)).find((why) => why !== undefined);
}

function tooWide(place: Place, widthUm: number, usableUm: number): string | undefined {
  if (widthUm <= usableUm) return undefined;
  return (
    `${widthUm / 1000} mm does not fit in the ${usableUm / 1000} mm that the edge trims leave ` +
    `of a ${place.widthUm / 1000} mm web on ${place.slitter.id}`
  );
}

/** The budgets that can bind here, less what the waste strips at the bad lanes take. */
function budgetsAt(place: Place, web: FreeWeb, narrowestUm: number): Budget[] {
  const laneWaste = web.length - 1;
  const usable = web.reduce((sum, s) => sum + s.toUm - s.fromUm, 0);
  const mostStrips = Math.floor(usable / narrowestUm);
  return patternRules.flatMap((rule) => {
    const budget = rule.budget?.(place);
    if (!budget) return [];
    const left = { ...budget, limit: budget.limit - laneWaste * budget.eachWaste };
    const mostSpent = mostStrips * (left.eachStrip + left.eachWidth) + left.eachWaste;
    return left.limit >= mostSpent ? [] : [left];
  });
}

/** Machine cost of running one set and of the set change after it. */
function costPerSet({ slitter, lengthMm }: Place): number {
  const minutes = setMinutes({ ...slitter, lengthM: mmToM(lengthMm) }) + slitter.minutesPerSetChange;
  return (minutes * slitter.costPerHour) / 60;
}

/** How much more than the least the trims can take; beside bad lanes the waste strips take up what is left instead. */
function slackOf(place: Place, web: FreeWeb): number {
  if (web.length > 1) return 0;
  const { left, right } = place.slitter.edgeTrimMaxUm;
  return left - web[0].fromUm + (right - (place.widthUm - web[0].toUm));
}
