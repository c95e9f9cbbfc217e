// The whole story of a plan in one screen. Relax the problem and prove a bound by column generation; dive to whole
// numbers; then, while there is a gap, polish and try to prove. Pure: no clock, no I/O, no chance; the caller's
// control says how long to go on and hears how far it has come. Same problem, same plan, unless time cuts it short.
import type { Plan, PlanControl, PlanProgress } from '../domain/plan.ts';
import type { Problem } from '../domain/problem.ts';
import { assemblePlan } from './assemble.ts';
import { relax, roundUp } from './bounding.ts';
import { buildModel } from './buildModel.ts';
import { improve } from './improve.ts';
import { dive } from './integerPlan.ts';
import { everything } from './remaining.ts';
import { setupBound } from './setupBound.ts';
import { setupCost } from './setups.ts';

const UNHURRIED: PlanControl = { secondsLeft: () => Infinity, report: () => {} };
const PLAIN = { nudge: () => 0 };

/** Plans a valid problem. CPU heavy: seconds to minutes. The plan has not been checked yet: see checkPlan. */
export function planSlitting(problem: Problem, control: PlanControl = UNHURRIED): Plan {
  const tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns = 0) =>
    control.report({ phase, boundCost: bound ?? null, bestCost: best ?? null, columns });

  tell('reading');
  const model = buildModel(problem);
  const setups = model.sites.some((site) => setupCost(site) > 0);

  tell('bounding');
  const root = relax(model, everything(model), [], { setups: false, enough: Infinity, control });
  const withSetups = setups
    ? relax(model, everything(model), [], { setups, enough: Infinity, control })
    : root;

  tell('building', root.bound, undefined, root.columns.length);
  const first = dive(model, withSetups, { setups, enough: roundUp(model, root.bound), control }, PLAIN);
  const inHand = first.best?.cost ?? Infinity;
  const bound = Math.min(inHand, roundUp(model, root.bound + setupBound(model, inHand)));
  const start = { root, withSetups, first, bound, mostPatterns: problem.maxPatterns };
  const best = improve(model, start, control, tell);

  const { worth } = root;
  const plan = assemblePlan(problem, model, best.plan, {
    bound: best.bound,
    worth: worth.strip,
    outOfTime: best.outOfTime,
  });
  tell('done', plan.bound.cost, plan.cost.total, best.columns);
  return plan;
}
