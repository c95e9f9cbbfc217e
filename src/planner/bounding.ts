// Column generation (Gilmore & Gomory 1961, 1963): solve the restricted master, ask pricing for sets and layouts worth
// more than they cost at its duals, add them, until there are none. Any duals >= 0 give a proven lower bound: each
// roll can gain at most what its best layout gains at them (Lagrange), after scaling them down until rolls that are
// not scarce gain nothing (Farley, Operations Research 38, 1990).
import type { PlanControl } from '../domain/plan.ts';
import { type Column, extraColumn, layoutColumn, patternColumn, wholeRollCost } from './columns.ts';
import { priceLayout } from './layoutPricing.ts';
import { type Master, type MasterSolution, openMaster, type Worth } from './master.ts';
import type { Model, Site } from './model.ts';
import { mustBuy, stillToBuy } from './planRows/minimumOrder.ts';
import { isScarce } from './planRows/stockNotExceeded.ts';
import type { PricingAnswer } from './pricing.ts';
import type { Remaining } from './remaining.ts';
import { priceNetOfSetup } from './setupPricing.ts';
import { setupCost } from './setups.ts';
import { starterColumns } from './starters.ts';

export interface Relaxation {
  objective: number;
  /** Proven, when set-ups are left out: no plan for what remains costs less. */
  bound: number;
  columns: Column[];
  /** Value of each column in the last solution. */
  values: number[];
  worth: Worth;
}

export interface Effort {
  /** Charge each set its share of a set-up: for building plans; the bound is then no bound of the cost. */
  setups: boolean;
  /** Stop once the bound, rounded up to a possible cost, reaches this. */
  enough: number;
  control: PlanControl | undefined;
}

const PRICING_NODES = 60_000;
const PROVING_NODES = 3_000_000;
const MOST_ROUNDS = 20_000;
const TINY = 1e-9;

/** Solves the linear relaxation of what remains, starting from the pool's columns. */
export function relax(model: Model, remaining: Remaining, pool: Column[], effort: Effort): Relaxation {
  const master = openMaster(model, remaining);
  try {
    for (const column of [...starterColumns(model, remaining, effort.setups), ...pool]) master.add(column);
    let bound = -Infinity;
    for (let round = 0; ; round++) {
      const solution = master.solve();
      const found = price(model, remaining, master, solution, { ...effort, nodes: PRICING_NODES });
      bound = Math.max(bound, found.bound);
      const done =
        roundUp(model, bound) >= roundUp(model, solution.objective) || roundUp(model, bound) >= effort.enough;
      const over = round >= MOST_ROUNDS || (effort.control?.secondsLeft() ?? 1) <= 0;
      if (done || over || !addAll(master, found.columns)) {
        if (!done && !over && found.aborted) {
          const deep = price(model, remaining, master, solution, { ...effort, nodes: PROVING_NODES });
          bound = Math.max(bound, deep.bound);
          if (addAll(master, deep.columns)) continue;
        }
        return {
          objective: solution.objective,
          bound,
          columns: master.columns,
          values: solution.values,
          worth: solution.worth,
        };
      }
    }
  } finally {
    master.dispose();
  }
}

/** The least possible cost that is not below this, where costs come in steps. */
export function roundUp(model: Model, cost: number): number {
  if (model.costStep === 0) return cost;
  return Math.ceil(cost / model.costStep - 1e-6) * model.costStep;
}

function addAll(master: Master, columns: Column[]): boolean {
  let fresh = false;
  for (const column of columns) fresh = master.add(column) || fresh;
  return fresh;
}

interface Depth {
  setups: boolean;
  nodes: number;
}

interface Priced {
  columns: Column[];
  bound: number;
  aborted: boolean;
}

function price(
  model: Model,
  remaining: Remaining,
  master: Master,
  solution: MasterSolution,
  depth: Depth,
): Priced {
  const { worth } = solution;
  const columns: Column[] = [];
  const setWorth = new Float64Array(model.sites.length);
  let aborted = false;
  for (const site of model.sites) {
    const answer = priceSite(model, remaining, site, worth, depth, master.rows.length);
    for (const { counts } of answer.patterns) {
      columns.push(
        patternColumn(model, { site: site.index, counts }, depth.setups ? remaining.max : undefined),
      );
    }
    setWorth[site.index] = answer.upperBound;
    aborted = aborted || (answer.upperBound > answer.threshold + 1e-6 && answer.patterns.length === 0);
  }
  for (const source of model.sources) {
    if (model.sites[firstSite(source)].wholeRollOf !== undefined || remaining.stock[source.stock] <= 0)
      continue;
    const rollWorth = worth.roll[source.index];
    const { layout, gain } = priceLayout(model, source, worth.slot, Math.max(0, rollWorth));
    if (layout && gain + Math.min(0, rollWorth) > TINY * Math.max(1, source.charge(layout.endMm))) {
      columns.push(layoutColumn(model, layout));
    }
  }
  return { columns, bound: dualBound(model, remaining, worth, setWorth), aborted };
}

const firstSite = (source: Model['sources'][number]) =>
  source.paths.edges.find((edge) => edge.site >= 0)?.site ?? 0;

/** The sets at one site that are worth more than they cost, and the worth that none exceeds. */
function priceSite(
  model: Model,
  remaining: Remaining,
  site: Site,
  worth: Worth,
  { nodes, setups }: Depth,
  rows: number,
): PricingAnswer & { threshold: number } {
  const values = site.demands.map((d) => worth.strip[d] + model.demands[d].valuePerRoll);
  const most = site.demands.map((d) => Math.max(0, remaining.max[d]));
  const source = site.wholeRollOf;
  const roll = source === undefined ? 0 : wholeRollCost(model, site.index) - worth.roll[source];
  const threshold = site.costPerSet - worth.set[site.index] + roll;
  const keep = rows > 60 ? 1 : 4;
  const above = threshold + TINY * Math.max(1, Math.abs(threshold));
  return {
    ...priceNetOfSetup(site, { values, most, above, keep, nodes }, setups ? setupCost(site) : 0),
    threshold,
  };
}

/** The proven bound that these worths per strip give; `setWorth` bounds the worth of a set at each site. */
function dualBound(model: Model, remaining: Remaining, worth: Worth, setWorth: Float64Array): number {
  const fillers = model.demands.some((demand) => demand.valuePerRoll > 0);
  const scale = fillers ? 1 : scaleFor(model, remaining, setWorth, worth);
  const slot = Float64Array.from(model.sites, (site) => scale * setWorth[site.index] - site.costPerSet);
  const gains = new Float64Array(model.stock.length);
  for (const source of model.sources) {
    const gain = gainOf(model, source, slot, scale * minimumWorth(model, source, worth));
    gains[source.stock] = Math.max(gains[source.stock], gain);
  }
  let bound = 0;
  model.demands.forEach((demand, d) => {
    const price = Math.min(scale * worth.strip[d], demand.shortCostPerRoll);
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
  return bound;
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
  let cost = source.charge(layout.endMm);
  let worth = rollWorth;
  for (const e of layout.path) {
    const { site } = source.paths.edges[e];
    if (site < 0) continue;
    cost += model.sites[site].costPerSet;
    worth += setWorth[site];
  }
  return { cost, worth, gain };
}
