// Sets for which no roll was left when they were laid out make a plan fall short, though other rolls or rolls on offer
// could still give them. What is short is then planned once more, on the rolls that are left, and joined to the rest.
import { type Effort, relax } from '../bounding/bounding.ts';
import { stripsMade } from '../model/equalSites.ts';
import type { Model } from '../model/model.ts';
import { everything } from '../model/remaining.ts';
import { costed, type Dive, dive, type IntegerPlan, mergeSets, rollsUsed } from './integerPlan.ts';

const PLAIN = { nudge: () => 0 };
const MOST_TIMES = 4;

/** The dive with its best plan filled up as far as that is cheaper, and the columns met on the way. */
export function fillShort(model: Model, first: Dive, effort: Effort): Dive {
  let { best } = first;
  const columns = [...first.columns];
  for (let time = 0; best && time < MOST_TIMES && best.short.some((n) => n > 0); time++) {
    const left = whatIsLeft(model, best);
    const relaxed = relax(left, everything(left), [], { ...effort, enough: Infinity });
    const more = dive(left, relaxed, { ...effort, enough: -Infinity }, PLAIN);
    columns.push(...more.columns);
    const joined = more.best && join(model, best, more.best);
    if (!joined || joined.cost >= best.cost) break;
    best = joined;
  }
  return { best, columns };
}

/** The model of what the plan falls short of, on the rolls that it leaves. What it buys is bought. */
function whatIsLeft(model: Model, plan: IntegerPlan): Model {
  const used = rollsUsed(model, plan.sets, plan.layouts);
  const made = stripsMade(model, plan.sets);
  const bought = model.offers.map((_, o) =>
    plan.bought.some((n, s) => n > 0 && model.stock[s].bought?.offer === o),
  );
  return {
    ...model,
    costStep: 0,
    demands: model.demands.map((demand, d) => {
      const max = Math.max(0, demand.max - made[d]);
      return { ...demand, min: Math.min(max, plan.short[d]), max };
    }),
    stock: model.stock.map((item, s) => ({ ...item, count: item.count - used[s] })),
    offers: model.offers.map((terms, o) => ({
      ...terms,
      taken: undefined,
      minKg: bought[o] ? 0 : terms.minKg,
    })),
  };
}

function join(model: Model, a: IntegerPlan, b: IntegerPlan): IntegerPlan {
  return costed(model, mergeSets([...a.sets, ...b.sets]), [...a.layouts, ...b.layouts]);
}
