// The proven bound that any worths per strip >= 0 give: each roll can gain at most what its best layout gains at them
// (Lagrange), after scaling them down until rolls that are not scarce gain nothing (Farley, Operations Research 38,
// 1990). Worths below what falling short costs are used as they are, others are cut to it. What everything is worth in
// this very bound is handed out too: at those worths no column costs less than it is worth, and each plan costs the
// bound and what its columns cost beyond their worth, at least.
import { extraColumn, layoutCost } from '../model/columns.ts';
import { firstSite, type Model, type Source } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import { mustBuy, stillToBuy } from '../planRows/minimumOrder.ts';
import { isScarce } from '../planRows/stockNotExceeded.ts';
import { priceLayout } from './layoutPricing.ts';
import type { Worth } from './master.ts';

export interface Proven {
  bound: number;
  worth: Worth;
}

/** The proven bound that these worths per strip give; `setWorth` bounds the worth of a set at each site. */
export function dualBound(model: Model, remaining: Remaining, worth: Worth, setWorth: Float64Array): Proven {
  const fillers = model.demands.some((demand) => demand.valuePerRoll > 0);
  const scale = fillers ? 1 : scaleFor(model, remaining, setWorth, worth);
  const slot = Float64Array.from(model.sites, (site) => scale * setWorth[site.index] - site.costPerSet);
  const gains = new Float64Array(model.stock.length);
  for (const source of model.sources) {
    const gain = gainOf(model, source, slot, scale * minimumWorth(model, source, worth));
    gains[source.stock] = Math.max(gains[source.stock], gain);
  }
  let bound = 0;
  const strip = model.demands.map((demand, d) => Math.min(scale * worth.strip[d], demand.shortCostPerRoll));
  model.demands.forEach((_, d) => {
    const price = strip[d];
    bound += price > 0 ? price * remaining.min[d] : price * remaining.max[d];
  });
  model.stock.forEach((_, s) => {
    if (gains[s] > 0) bound -= gains[s] * remaining.stock[s];
  });
  model.offers.forEach((_, o) => {
    bound += scale * extraWorth(model, o, worth) * stillToBuy(model, remaining, o);
  });
  remaining.slotsOwed.forEach((owed, s) => {
    bound += owed * Math.max(0, slot[s]);
  });
  return { bound, worth: { ...worthsOf(model, slot), strip, roll: model.sources.map(rollWorth) } };

  function rollWorth(source: Source): number {
    return scale * minimumWorth(model, source, worth) - Math.max(0, gains[source.stock]);
  }
}

/** What a set and a slot for it are worth; nothing apart from its roll where a set takes a whole one. */
function worthsOf({ sites, offers }: Model, slot: Float64Array): Pick<Worth, 'set' | 'slot' | 'extra'> {
  const worth = sites.map(({ wholeRollOf, index }) =>
    wholeRollOf === undefined ? Math.max(0, slot[index]) : 0,
  );
  return { set: worth.map((value) => -value), slot: worth, extra: offers.map(() => 0) };
}

/** What film is worth only to reach an offer's minimum order: never more than its price. */
function extraWorth(model: Model, offer: number, worth: Worth): number {
  return Math.min(Math.max(0, worth.extra[offer]), extraColumn(model, offer).cost);
}

/** The part of it that one roll of this source brings. */
function minimumWorth(model: Model, { stock }: Model['sources'][number], worth: Worth): number {
  const { bought } = model.stock[stock];
  if (!bought || !mustBuy(model, bought.offer)) return 0;
  return (extraWorth(model, bought.offer, worth) * bought.kg) / model.offers[bought.offer].minKg;
}

function gainOf(
  model: Model,
  source: Model['sources'][number],
  slot: Float64Array,
  rollWorth: number,
): number {
  const site = model.sites[firstSite(source)];
  if (site.wholeRollOf === undefined) return priceLayout(model, source, slot, rollWorth).upperBound;
  const own = source.paths.edges.filter((edge) => edge.site >= 0);
  return Math.max(
    0,
    ...own.map((edge) => slot[edge.site] + rollWorth - source.charge(source.paths.positionsMm[edge.to])),
  );
}

/** The largest scale at which no roll that is not scarce gains by any layout (Dinkelbach's iteration). */
function scaleFor(model: Model, remaining: Remaining, setWorth: Float64Array, worths: Worth): number {
  let scale = 1;
  for (const source of model.sources) {
    if (isScarce(model, remaining, source.stock)) continue;
    const rollWorth = minimumWorth(model, source, worths);
    for (let i = 0; i < 30; i++) {
      const slot = Float64Array.from(model.sites, (site) => scale * setWorth[site.index] - site.costPerSet);
      const { cost, worth, gain } = bestWalk(model, source, slot, setWorth, rollWorth, scale);
      if (gain <= 1e-13) break;
      scale = Math.min(scale, cost / worth);
    }
  }
  return scale;
}

function bestWalk(
  model: Model,
  source: Model['sources'][number],
  slot: Float64Array,
  setWorth: Float64Array,
  rollWorth: number,
  scale: number,
) {
  const { layout, gain } = priceLayout(model, source, slot, scale * rollWorth);
  if (!layout) return { cost: 0, worth: 1, gain: 0 };
  let cost = layoutCost(model, layout);
  let worth = rollWorth;
  for (const e of layout.path) {
    const { site } = source.paths.edges[e];
    if (site < 0) continue;
    cost += model.sites[site].costPerSet;
    worth += setWorth[site];
  }
  return { cost, worth, gain };
}
