// Integer programs over few sets drawn from all that can be cut, each started from the best plan so far: where set-ups
// count, a program over hundreds of sets hardly moves within its limits, one over some dozens is searched through. Sets
// nearest to paying for themselves, set-up included, are drawn first and most often.
import type { PlanControl } from '../../domain/plan.ts';
import type { Relaxation } from '../bounding/bounding.ts';
import { reducedCost } from '../bounding/pricingRound.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import { solvePlanMip } from '../building/planMip.ts';
import { patternColumn, patternKey } from '../model/columns.ts';
import type { Model, Pattern } from '../model/model.ts';
import { seededRandom } from '../model/seededRandom.ts';
import { goodLayouts } from './polish.ts';
import { closeEnough } from './proof.ts';

const MOST_LAYOUTS = 60;
/** Sets drawn beside the plan's own, in turns. */
const DRAWN = [50, 25];
const NODES = 30;
/** Most of a second of the processor's for some dozens of sets. */
const QUESTIONS = 60;
const SHARE_OF_TIME = 0.12;

/** Draws in vain after which it is given up. */
const PATIENCE = 3;

export interface Draw {
  patience: number;
  /** The plan made better by sets that are drawn anew; undefined when these make none that is cheaper. */
  better(plan: IntegerPlan): IntegerPlan | undefined;
}

/** `all`: the sets to draw from. */
export function openDraw(
  model: Model,
  all: Pattern[],
  { root, withSetups }: { root: Relaxation; withSetups: Relaxation },
  control: PlanControl,
  mostPatterns: number,
): Draw {
  const random = seededRandom(3);
  const max = model.demands.map((demand) => demand.max);
  const unpaid = all.map((pattern) =>
    Math.max(0, reducedCost(model, patternColumn(model, pattern, max), withSetups.worth)),
  );
  let times = 0;
  return { better, patience: all.length <= DRAWN[0] ? 1 : PATIENCE };

  function better(plan: IntegerPlan): IntegerPlan | undefined {
    const patterns = new Map(plan.sets.map(({ pattern }) => [patternKey(pattern), pattern]));
    for (const pattern of drawn()) patterns.set(patternKey(pattern), pattern);
    const own = plan.layouts.map(({ layout }) => layout);
    const layouts = [...own, ...goodLayouts(model, root, plan, MOST_LAYOUTS)];
    const pool = { patterns: [...patterns.values()], layouts };
    const seconds = SHARE_OF_TIME * control.secondsLeft();
    const limits = { seconds, nodes: NODES, questions: QUESTIONS, absoluteGap: closeEnough(model) };
    const found = solvePlanMip(model, pool, limits, plan, { mostPatterns, shared: false })?.plan;
    return found && found.cost < plan.cost - 1e-6 * Math.abs(plan.cost) ? found : undefined;
  }
  function drawn(): Pattern[] {
    const rank = unpaid.map((cost) => (times === 0 ? cost : cost * random()));
    const byRank = rank.map((_, i) => i).sort((a, b) => rank[a] - rank[b] || a - b);
    return byRank.slice(0, DRAWN[times++ % DRAWN.length]).map((i) => all[i]);
  }
}
