// The quickest plan, where rolls are counted: one fullest set after another (completion.ts), filled in one way after
// another until film alone proves it: with each strip worth the share of a roll that it takes, the rolls that all strips
// need together are a bound like any other (dualBound.ts). What it proves needs no relaxation and no search.
import { type Relaxation, roundUp } from '../bounding/bounding.ts';
import type { Worth } from '../bounding/master.ts';
import { price } from '../bounding/pricingRound.ts';
import { sharesOfRoll } from '../bounding/sharesOfRoll.ts';
import { patternColumn, wholeRollCost } from '../model/columns.ts';
import type { Model } from '../model/model.ts';
import { everything } from '../model/remaining.ts';
import { setupsCount } from '../model/setups.ts';
import { completeBy, type Filling, OTHER_FILLINGS } from './completion.ts';
import { finish, type IntegerPlan } from './integerPlan.ts';

export interface Quickest {
  plan: IntegerPlan;
  /** The plan as a relaxation of itself, its bound proven by film alone. */
  relaxation: Relaxation;
  proved: boolean;
}

const BY_ROLLS = { setups: false, enough: -Infinity, control: undefined };
/** Ways of filling differ by a few per cent at most: a plan further from the bound is not worth trying others. */
const NEAR = 1.05;
const CLEARLY = 1e-5;
const DEPTH = { setups: false, nodes: 60_000, keep: 1, others: 0 };

/** undefined where rolls are not counted, or more than rolls is. */
export function quickestPlan(model: Model): Quickest | undefined {
  if (model.costStep === 0 || setupsCount(model)) return undefined;
  const first = planBy('wide first', model);
  if (!first) return undefined;
  const { bound, proven } = price(model, everything(model), worthByFilm(model, first.cost), DEPTH);
  const plan = fullest(model, first, roundUp(model, bound));
  const relaxation = {
    objective: plan.cost,
    bound,
    columns: plan.sets.map(({ pattern }) => patternColumn(model, pattern)),
    values: plan.sets.map(({ times }) => times),
    worth: proven,
    proven,
  };
  return { plan, relaxation, proved: roundUp(model, bound) >= plan.cost };
}

function planBy(filling: Filling, model: Model): IntegerPlan | undefined {
  const sets = completeBy(filling, model, everything(model));
  return sets.length > 0 ? finish(model, sets, BY_ROLLS) : undefined;
}

/** The cheapest plan of the ways of filling, or the first that costs no more than `enough`. */
function fullest(model: Model, first: IntegerPlan, enough: number): IntegerPlan {
  let best = first;
  for (const filling of OTHER_FILLINGS) {
    if (best.cost <= enough || best.cost > NEAR * enough + model.costStep) break;
    const plan = planBy(filling, model);
    if (plan && plan.cost < best.cost) best = plan;
  }
  return best;
}

/** Worths of strips that prove as much as film alone can, or enough for a plan of this cost. */
function worthByFilm(model: Model, cost: number): Worth {
  const nothing = (list: unknown[]) => list.map(() => 0);
  return {
    strip: model.sites.length === 1 ? sharesAtOneSite(model, cost) : sharesAtBestSite(model),
    set: nothing(model.sites),
    roll: nothing(model.sources),
    slot: nothing(model.sites),
    extra: nothing(model.offers),
  };
}

function sharesAtOneSite(model: Model, cost: number): number[] {
  const [site] = model.sites;
  const perRoll = costOfSet(model, 0);
  const wanted = site.demands.map((d) => model.demands[d].min);
  const enough = (cost - model.costStep) / perRoll + CLEARLY;
  const shares = sharesOfRoll(site.widthsUm, wanted, usableUm(model, 0), enough);
  const worth = model.demands.map(() => 0);
  site.demands.forEach((d, k) => {
    worth[d] = shares[k] * perRoll;
  });
  return worth;
}

/** The plain share of width, of the roll that costs least for it. */
function sharesAtBestSite(model: Model): number[] {
  const perUm = Math.min(...model.sites.map(({ index }) => costOfSet(model, index) / usableUm(model, index)));
  return model.demands.map(({ widthUm }) => perUm * widthUm);
}

const costOfSet = (model: Model, site: number) => wholeRollCost(model, site) + model.sites[site].costPerSet;

const usableUm = (model: Model, site: number) =>
  model.sites[site].web.reduce((sum, { fromUm, toUm }) => sum + toUm - fromUm, 0);
