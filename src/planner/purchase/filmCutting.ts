// How film of a grade may be cut into the strips that orders want of it: the sites of the planner (product, slitter, web width,
// finished length, with every rule of the slitter), and the sets across the web that pricing finds there. Areas are shares: what
// a set makes of one m2 of film. Of the film go the coater's start-up, lead-in and tails; the rest at the end of a roll does not.
import type { Product, Slitter } from '../../domain/problem.ts';
import { pricePatterns } from '../bounding/pricing.ts';
import type { Demand, Site } from '../model/model.ts';
import { openSites } from '../model/sites.ts';

/** Strips of one product, width and finished length. */
export interface WantedStrip {
  product: string;
  widthUm: number;
  lengthMm: number;
}

/** Where one kind of set is cut, and what that takes of the film. */
export interface CutSite {
  webUm: number;
  site: Site;
  /** m2 of strips that one strip in the set makes of each m2 of film; parallel to the site's lists. */
  share: number[];
  /** Coating of each m2 of film. */
  coatingPerM2: number;
}

/** A set across the web: strips per entry of its site's lists. */
export interface FilmSet {
  at: CutSite;
  counts: number[];
}

export interface Cutting {
  strips: readonly WantedStrip[];
  /** Where sets of these strips can be cut from webs of a width; none when no strip fits. */
  sitesAt(webUm: number): CutSite[];
}

/** A set may hold as many strips of a kind as fit: what is over serves the next order. */
const ANY_NUMBER = 100_000;
/** Beyond so many nodes the search for a set ends; its bound then says what it may have missed. */
const NODES = 200_000;

/** Products that the machines are to make from rolls of film of about this length. */
export function cuttingOf(
  machines: { slitters: readonly Slitter[]; products: readonly Product[] },
  strips: readonly WantedStrip[],
  rollLengthMm: number,
): Cutting {
  const register = openSites(strips.map(demandOf), () => 0);
  const known = new Map<number, CutSite[]>();
  const sitesAt = (webUm: number): CutSite[] => {
    const found = new Map<string, CutSite>();
    for (const { product, lengthMm } of kindsOf(strips)) {
      const described = machines.products.find(({ id }) => id === product);
      if (!described) continue;
      for (const slitter of machines.slitters.filter(({ id }) => described.slitters.includes(id)))
        for (const site of register.sitesAt(
          { slitter, product: described, widthUm: webUm, lengthMm },
          [],
          FRESH,
        ))
          keepDistinct(found, cutSite(site, rollLengthMm));
    }
    return [...found.values()];
  };
  return {
    strips,
    sitesAt(webUm) {
      const sites = known.get(webUm) ?? sitesAt(webUm);
      known.set(webUm, sites);
      return sites;
    },
  };
}

const FRESH = { wholeRollOf: undefined, readyOn: undefined };

const demandOf = ({ product, widthUm, lengthMm }: WantedStrip): Demand => ({
  ...{ product, widthUm, lengthMm, awayFromEdgeUm: 0, min: 0, max: ANY_NUMBER, orders: [] },
  ...{ filler: undefined, shortCostPerRoll: 0, valuePerRoll: 0 },
});

const kindsOf = (strips: readonly WantedStrip[]): WantedStrip[] => [
  ...new Map(strips.map((one) => [`${one.product}|${one.lengthMm}`, one])).values(),
];

function cutSite(site: Site, rollLengthMm: number): CutSite {
  const { slitter, product, widthUm, lengthMm } = site.place;
  const lost = (product.coating?.lossMm ?? 0) + slitter.leadInMm;
  const alongSet = lengthMm / (lengthMm + slitter.tailMm);
  // A roll that one set does not fit is taken as if it did: the problem of a plan says what is wrong with it.
  const alongRoll = Math.max(lengthMm, rollLengthMm - lost) / Math.max(lengthMm, rollLengthMm);
  return {
    webUm: widthUm,
    site,
    share: site.widthsUm.map((strip) => (strip / widthUm) * alongSet * alongRoll),
    coatingPerM2: product.coating?.costPerM2 ?? 0,
  };
}

/** Slitters whose rules say the same of these strips are one place. */
function keepDistinct(found: Map<string, CutSite>, one: CutSite): void {
  const { web, trimSlackUm, budgets, demands } = one.site;
  const key = JSON.stringify([web, trimSlackUm, budgets, demands, one.share]);
  if (!found.has(key)) found.set(key, one);
}

/** The set of greatest worth per m2 of film, worths being per m2 of strip; `upper`: none is worth more. */
export function bestSet(
  at: CutSite,
  worth: (strip: number) => number,
  above: number,
): { set: FilmSet | undefined; upper: number } {
  const values = at.site.demands.map((strip, k) => Math.max(0, worth(strip)) * (at.share[k] as number));
  if (values.every((value) => value <= 0)) return { set: undefined, upper: 0 };
  const most = values.map(() => ANY_NUMBER);
  const found = pricePatterns(at.site, { values, most, above, keep: 1, nodes: NODES });
  const best = found.patterns[0];
  return { set: best && { at, counts: best.counts }, upper: found.upperBound };
}

/** What a set makes of each m2 of film: [strip, m2]. */
export const madeBy = ({ at, counts }: FilmSet): [strip: number, m2: number][] =>
  counts.flatMap((many, k) =>
    many > 0 ? [[at.site.demands[k] as number, many * (at.share[k] as number)] as [number, number]] : [],
  );

/** Worth of one m2 of film cut into this set. */
export const worthOf = (set: FilmSet, worth: (strip: number) => number): number =>
  madeBy(set).reduce((sum, [strip, m2]) => sum + m2 * Math.max(0, worth(strip)), 0);
