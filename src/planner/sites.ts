// Sites: where one kind of set can be cut. A register makes each site once, since rolls of equal width share their
// patterns whatever roll they come from, and remembers why a strip or a place was refused.
import { setMinutes } from '../domain/filmMath.ts';
import { mmToM } from '../domain/units.ts';
import type { Demand, Site } from './model.ts';
import type { Budget, Place } from './patternRules/rule.ts';
import { patternRules } from './patternRules/rules.ts';
import { type FreeWeb, freeWeb, type Lane } from './webLanes.ts';

export interface SiteRegister {
  sites: Site[];
  refusals: Map<number, Set<string>>;
  /** The site for this place and these bad lanes; undefined when no wanted strip can be cut there. */
  siteAt(place: Place, bad: Lane[], wholeRollOf: number | undefined): Site | undefined;
}

export function openSites(demands: Demand[]): SiteRegister {
  const known = new Map<string, Site | undefined>();
  const sites: Site[] = [];
  const refusals = new Map<number, Set<string>>();
  const refuse = (demand: number, why: string) => {
    for (const order of demands[demand].orders) {
      refusals.set(order, (refusals.get(order) ?? new Set()).add(why));
    }
  };
  return {
    sites,
    refusals,
    siteAt(place, bad, wholeRollOf) {
      const web = freeWeb(place, bad);
      const lanes = web.map((stretch) => `${stretch.fromUm}-${stretch.toUm}`).join(',');
      const key = [
        place.product.id,
        place.slitter.id,
        place.widthUm,
        place.lengthMm,
        lanes,
        wholeRollOf,
      ].join('|');
      if (!known.has(key)) {
        const site = makeSite(sites.length, place, web, demands, refuse);
        if (site) sites.push({ ...site, wholeRollOf });
        known.set(key, site && sites.at(-1));
      }
      return known.get(key);
    },
  };
}

function makeSite(
  index: number,
  place: Place,
  web: FreeWeb,
  demands: Demand[],
  refuse: (demand: number, why: string) => void,
): Site | undefined {
  const wanted = demands.flatMap((demand, d) =>
    demand.product === place.product.id && demand.lengthMm === place.lengthMm && demand.max > 0 ? [d] : [],
  );
  const placeRefusal = patternRules
    .map((rule) => rule.refusesPlace?.(place))
    .find((why) => why !== undefined);
  const whole = freeWeb(place, []).map((s) => s.toUm - s.fromUm)[0];
  const widest = Math.max(...web.map((s) => s.toUm - s.fromUm));
  const fitting = wanted.filter((d) => {
    const widthUm = demands[d].widthUm;
    const why = placeRefusal ?? stripRefusal(place, widthUm) ?? tooWide(place, widthUm, whole);
    if (why) refuse(d, why);
    return why === undefined && widthUm <= widest;
  });
  if (fitting.length === 0) return undefined;
  return {
    index,
    place,
    web,
    trimSlackUm: slackOf(place, web),
    budgets: budgetsAt(place, web, Math.min(...fitting.map((d) => demands[d].widthUm))),
    demands: fitting,
    widthsUm: fitting.map((d) => demands[d].widthUm),
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
