// Minimum orders divide a problem: either nothing is bought of an offer or at least its minimum. The relaxation of all
// of it may buy less, so the problem is branched on offers, the branch of least bound first (Land & Doig, Econometrica
// 28, 1960), until all that have a minimum are decided; such a branch is then planned. A branch is relaxed only when
// its turn comes. The least bound among the branches is proven for the whole problem.
import type { PlanControl } from '../../domain/plan.ts';
import type { Column } from '../model/columns.ts';
import type { Model } from '../model/model.ts';
import { itemsOf } from '../model/offers.ts';
import { everything } from '../model/remaining.ts';
import { type Relaxation, relax } from './bounding.ts';
import { boundOfAll } from './offeredWidths.ts';

export interface Branch {
  model: Model;
  root: Relaxation;
}

export interface Branches {
  /** The branch of least bound, its offers decided; undefined when no branch can hold a plan cheaper than `cost`. */
  next(cost: number): Branch | undefined;
  /** The least bound of the branches that are still open; Infinity when there are none. */
  openBound(): number;
}

interface Open {
  model: Model;
  bound: number;
  /** undefined: not relaxed yet; the bound is that of the branch it comes from. */
  root: Relaxation | undefined;
  pool: Column[];
}

const SOME = 1e-6;
const MOST_BRANCHES = 200;
/** Branching may take this share of the time; planning has the rest. */
const SHARE_OF_TIME = 0.4;

/** `all`: the model with every offered width, when some are shut in `model`; bounds then hold for it. */
export function openBranches(
  model: Model,
  root: Relaxation,
  control: PlanControl,
  all: Model | undefined,
): Branches {
  const open: Open[] = [{ model, bound: root.bound, root, pool: [] }];
  const stopAt = (1 - SHARE_OF_TIME) * control.secondsLeft();
  let made = 0;
  return {
    next(cost) {
      for (let branch = takeLeast(open, cost); branch; branch = takeLeast(open, cost)) {
        const { root, bound } = branch.root ? (branch as Open & Branch) : relaxed(branch, cost, control, all);
        if (!branch.root && bound > branch.bound) {
          open.push({ ...branch, root, bound });
          continue;
        }
        const offer = toDecide({ model: branch.model, root });
        const enough = made >= MOST_BRANCHES || control.secondsLeft() < stopAt;
        if (offer === undefined || enough) return { model: branch.model, root };
        made++;
        open.push(...decided({ ...branch, root }, offer));
      }
      return undefined;
    },
    openBound: () => Math.min(Infinity, ...open.map(({ bound }) => bound)),
  };
}

/** Of equal bounds the one decided last goes first. */
function takeLeast(open: Open[], cost: number): Open | undefined {
  let least = -1;
  open.forEach(({ bound }, i) => {
    if (least < 0 || bound <= open[least].bound) least = i;
  });
  const enough = cost === Infinity ? cost : cost - SOME * Math.max(1, Math.abs(cost));
  return least < 0 || open[least].bound >= enough ? undefined : open.splice(least, 1)[0];
}

function relaxed(
  { model, bound, pool }: Open,
  cost: number,
  control: PlanControl,
  all: Model | undefined,
): Branch & { bound: number } {
  const root = relax(model, everything(model), pool, { setups: false, enough: cost, control });
  const held = all ? Math.min(root.bound, boundOfAll(all, model, root.worth)) : root.bound;
  const proven = Math.max(bound, held);
  return { model, root: { ...root, bound: proven }, bound: proven };
}

/**
 * The offer to be decided next: the one of which the relaxation buys some, but by the most money less than the
 * minimum; if there is none, any that is not decided.
 */
function toDecide({ model, root }: Branch): { offer: number; fits: boolean | undefined } | undefined {
  const used = rollsInRelaxation(model, root);
  let next: { offer: number; fits: boolean | undefined; missing: number } | undefined;
  model.offers.forEach(({ taken, minKg, pricePerKg }, offer) => {
    const items = itemsOf(model, offer);
    if (taken !== undefined || minKg <= 0 || items.length === 0) return;
    const kg = items.reduce((sum, { s, item }) => sum + used[s] * item.kg, 0);
    const fits = kg <= SOME ? false : kg >= minKg - SOME ? true : undefined;
    const missing = fits === undefined ? (minKg - kg) * pricePerKg : 0;
    if (!next || missing > next.missing) next = { offer, fits, missing };
  });
  return next;
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

/** Both ways of deciding; the relaxation stays as it is for the one that it fits already, which comes last. */
function decided(
  { model, root, bound }: Open & Branch,
  { offer, fits }: { offer: number; fits: boolean | undefined },
): Open[] {
  const pool = root.columns.filter((_, j) => root.values[j] > SOME);
  return (fits ? [false, true] : [true, false]).map((taken) => {
    const offers = model.offers.map((terms, o) => (o === offer ? { ...terms, taken } : terms));
    const stock = taken ? model.stock : withoutOffer(model, offer);
    return { model: { ...model, offers, stock }, bound, pool, root: taken === fits ? root : undefined };
  });
}

const withoutOffer = ({ stock }: Model, offer: number) =>
  stock.map((item) => (item.bought?.offer === offer ? { ...item, count: 0 } : item));
