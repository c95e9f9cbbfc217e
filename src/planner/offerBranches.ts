// Minimum orders divide a problem: either nothing is bought of an offer or at least its minimum. The relaxation of all
// of it may buy less, so the problem is branched on such offers, the branch of least bound first (Land & Doig,
// Econometrica 28, 1960), until the relaxation buys properly; that branch is then planned. The least bound among the
// branches is proven for the whole problem.
import type { PlanControl } from '../domain/plan.ts';
import { type Relaxation, relax } from './bounding.ts';
import type { Model } from './model.ts';
import { itemsOf } from './offers.ts';
import { everything } from './remaining.ts';

export interface Branch {
  model: Model;
  root: Relaxation;
}

const SOME = 1e-6;
const MOST_BRANCHES = 200;
/** Branching may take this share of the time; planning has the rest. */
const SHARE_OF_TIME = 0.4;

export interface Branches {
  /** The branch of least bound in which nothing is bought below a minimum; undefined when no bound is below `cost`. */
  next(cost: number): Branch | undefined;
  /** The least bound of the branches that are still open; Infinity when there are none. */
  openBound(): number;
}

export function openBranches(model: Model, root: Relaxation, control: PlanControl): Branches {
  const open: Branch[] = [{ model, root }];
  const stopAt = (1 - SHARE_OF_TIME) * control.secondsLeft();
  let made = 0;
  const takeLeast = (cost: number) => {
    open.sort((a, b) => a.root.bound - b.root.bound);
    const worthIt =
      open.length > 0 && (cost === Infinity || open[0].root.bound < cost - SOME * Math.max(1, cost));
    return worthIt ? open.shift() : undefined;
  };
  return {
    next(cost) {
      for (let branch = takeLeast(cost); branch; branch = takeLeast(cost)) {
        const offer = boughtTooLittle(branch);
        const enough = made >= MOST_BRANCHES || control.secondsLeft() < stopAt;
        if (offer === undefined || enough) return branch;
        for (const taken of [false, true]) open.push(branchOff(branch, offer, taken, control));
        made += 2;
      }
      return undefined;
    },
    openBound: () => Math.min(Infinity, ...open.map(({ root: { bound } }) => bound)),
  };
}

/** The undecided offer of which the relaxation buys some, but by the most money less than the minimum. */
function boughtTooLittle({ model, root }: Branch): number | undefined {
  const used = rollsInRelaxation(model, root);
  let worst: number | undefined;
  let most = 0;
  model.offers.forEach(({ taken, minKg, pricePerKg }, o) => {
    const kg = itemsOf(model, o).reduce((sum, { s, item }) => sum + used[s] * item.kg, 0);
    const missing = (minKg - kg) * pricePerKg;
    if (taken !== undefined || kg <= SOME || missing <= SOME * minKg * pricePerKg || missing <= most) return;
    most = missing;
    worst = o;
  });
  return worst;
}

/** Rolls of each stock item that the relaxation uses. */
function rollsInRelaxation(model: Model, { columns, values }: Relaxation): number[] {
  const used = model.stock.map(() => 0);
  columns.forEach((column, j) => {
    const source =
      column.kind === 'layout'
        ? column.layout.source
        : column.kind === 'pattern'
          ? model.sites[column.pattern.site].wholeRollOf
          : undefined;
    if (source !== undefined) used[model.sources[source].stock] += values[j];
  });
  return used;
}

function branchOff({ model, root }: Branch, offer: number, taken: boolean, control: PlanControl): Branch {
  const decided = {
    ...model,
    offers: model.offers.map((terms, o) => (o === offer ? { ...terms, taken } : terms)),
  };
  const own = taken ? decided : { ...decided, stock: withoutOffer(model, offer) };
  const pool = root.columns.filter((_, j) => root.values[j] > SOME);
  const relaxed = relax(own, everything(own), pool, { setups: false, enough: Infinity, control });
  return { model: own, root: { ...relaxed, bound: Math.max(relaxed.bound, root.bound) } };
}

const withoutOffer = ({ stock }: Model, offer: number) =>
  stock.map((item) => (item.bought?.offer === offer ? { ...item, count: 0 } : item));
