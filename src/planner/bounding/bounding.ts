// Column generation (Gilmore & Gomory 1961, 1963): solve the restricted master, ask pricing for sets and layouts worth
// more than they cost at its duals, add them, until there are none. Large masters are priced at smoothed duals first.
// Any duals >= 0 give a proven lower bound (dualBound.ts), so the best one is kept whatever ends the search.
import type { PlanControl } from '../../domain/plan.ts';
import type { Column } from '../model/columns.ts';
import type { Model } from '../model/model.ts';
import type { Remaining } from '../model/remaining.ts';
import { type Master, openMaster, type Worth } from './master.ts';
import { price, reducedCost } from './pricingRound.ts';
import { starterColumns } from './starters.ts';

export interface Relaxation {
  objective: number;
  /** Proven, when set-ups are left out: no plan for what remains costs less. */
  bound: number;
  columns: Column[];
  /** Value of each column in the last solution. */
  values: number[];
  worth: Worth;
  /** What everything is worth in the bound: there no column costs less than its worth. */
  proven: Worth;
}

export interface Effort {
  /** Charge each set its share of a set-up: for building plans; the bound is then no bound of the cost. */
  setups: boolean;
  /** Stop once the bound, rounded up to a possible cost, reaches this. */
  enough: number;
  /** Short of that, go on until no column is left to find: the duals are then good enough to list every column near them. */
  toTheEnd?: boolean;
  control: PlanControl | undefined;
}

const PRICING_NODES = 60_000;
const PROVING_NODES = 3_000_000;
/** With set-ups nothing is proved, so a good set is as good as the best (measured: a tenth of the time). */
const BUILDING_NODES = 4_000;
const MOST_ROUNDS = 20_000;
const TINY = 1e-9;
/** Masters with more rows than this are priced at smoothed duals, one set at a time (measured; see DEVELOPERS.md). */
const LARGE = 60;
const SMOOTHING = 0.5;
/** Further sets a round. */
const OTHERS = 6;

/** Solves the linear relaxation of what remains, starting from the pool's columns. */
export function relax(model: Model, remaining: Remaining, pool: Column[], effort: Effort): Relaxation {
  const master = openMaster(model, remaining);
  try {
    for (const column of [...starterColumns(model, remaining, effort.setups), ...pool]) master.add(column);
    return generate(model, remaining, master, effort);
  } finally {
    master.dispose();
  }
}

function generate(model: Model, remaining: Remaining, master: Master, effort: Effort): Relaxation {
  const large = master.rows.length > LARGE;
  const depth = {
    setups: effort.setups,
    nodes: effort.setups ? BUILDING_NODES : PRICING_NODES,
    keep: large ? 1 : 4,
    others: large ? OTHERS : 0,
  };
  let bound = -Infinity;
  let centre: Worth | undefined;
  let proven: Worth | undefined;
  const priceAt = (worth: Worth, nodes = depth.nodes) => {
    const found = price(model, remaining, worth, { ...depth, nodes });
    if (found.bound > bound) {
      bound = found.bound;
      centre = worth;
      proven = found.proven;
    }
    return found;
  };
  for (let round = 0; ; round++) {
    const solution = master.solve();
    const end = (): Relaxation => {
      const { objective, values, worth } = solution;
      return { objective, bound, columns: master.columns, values, worth, proven: proven ?? worth };
    };
    const met = () =>
      roundUp(model, bound) >= effort.enough ||
      (!effort.toTheEnd && roundUp(model, bound) >= roundUp(model, solution.objective));
    // Out of time or not, a relaxation for a bound is priced once: without that there is none.
    const late = (effort.control?.secondsLeft() ?? 1) <= 0 && (effort.setups || bound > -Infinity);
    if (round >= MOST_ROUNDS || late) return end();
    if (large && centre) {
      const smooth = priceAt(mixed(centre, solution.worth));
      if (met()) return end();
      if (
        addAll(
          master,
          smooth.columns.filter((c) => reducedCost(model, c, solution.worth) < -TINY),
        )
      )
        continue;
    }
    const found = priceAt(solution.worth);
    if (met()) return end();
    if (addAll(master, found.columns)) continue;
    const unproved = found.aborted && !effort.setups;
    if (!unproved || !addAll(master, priceAt(solution.worth, PROVING_NODES).columns)) return end();
  }
}

/** Worths between those of the best bound and the master's: they swing less from round to round (Wentges 1997). */
function mixed(centre: Worth, now: Worth): Worth {
  const mix = (a: number[], b: number[]) => a.map((value, i) => SMOOTHING * value + (1 - SMOOTHING) * b[i]);
  return {
    strip: mix(centre.strip, now.strip),
    set: mix(centre.set, now.set),
    roll: mix(centre.roll, now.roll),
    slot: mix(centre.slot, now.slot),
    extra: mix(centre.extra, now.extra),
  };
}

/** The least possible cost that is not below this, where costs come in steps. */
export function roundUp(model: Model, cost: number): number {
  if (model.costStep === 0) return cost;
  return Math.ceil(cost / model.costStep - 1e-6) * model.costStep;
}

/** What a plan costs beyond the bound at least when it falls short of something. */
export function leastForShort({ demands }: Model, { proven }: Relaxation): number {
  const costs = demands.map(({ min, shortCostPerRoll }, d) =>
    min > 0 ? shortCostPerRoll - proven.strip[d] : Infinity,
  );
  return Math.min(...costs);
}

function addAll(master: Master, columns: Column[]): boolean {
  let fresh = false;
  for (const column of columns) fresh = master.add(column) || fresh;
  return fresh;
}
