// The whole story of a plan in one screen. Relax the problem and prove a bound by column generation; dive to whole
// numbers; then, while there is a gap, improve and try to prove; lay out, time and count the plans found and choose.
// Minimum orders are told apart first (offerBranches.ts). Pure: no clock, no I/O, no chance; the caller's control says
// how long to go on and hears how far it has come. Same problem, same plan, unless time cuts it short.
import type { Plan, PlanControl, PlanProgress } from '../domain/plan.ts';
import type { Problem } from '../domain/problem.ts';
import { keeping } from '../domain/timeKept.ts';
import { relax, roundUp } from './bounding/bounding.ts';
import { type Branch, type Branches, openBranches } from './bounding/offerBranches.ts';
import { openWidths } from './bounding/offeredWidths.ts';
import { setupBound } from './bounding/setupBound.ts';
import { begin } from './building/begin.ts';
import type { IntegerPlan } from './building/integerPlan.ts';
import { quickestPlan } from './building/quickest.ts';
import { type Improved, improve } from './improving/improve.ts';
import { withBound } from './layingOut/assemble.ts';
import { choosePlan } from './layingOut/choosePlan.ts';
import { handOut } from './layingOut/handOut.ts';
import { buildModel } from './model/buildModel.ts';
import type { Model } from './model/model.ts';
import { everything } from './model/remaining.ts';
import { setupsCount } from './model/setups.ts';
import { withoutRolls } from './model/withoutRolls.ts';

const UNHURRIED: PlanControl = { secondsLeft: () => Infinity, report: () => {} };
const SHARE_KEPT = 0.4;
/** Shares of the time kept for what comes after: laying out, where knives cost or much is to be cut, and building plans at all. */
const SHARE_FOR_LAYING_OUT = 0.15;
const MANY_DEMANDS = 500;
const SHARE_AFTER_BOUNDING = 0.35;

/** Plans a valid problem. CPU heavy: seconds to minutes. The plan has not been checked yet: see checkPlan. */
export function planSlitting(problem: Problem, control: PlanControl = UNHURRIED): Plan {
  const tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns = 0) =>
    control.report({ phase, boundCost: bound ?? null, bestCost: best ?? null, columns });

  tell('reading');

  tell('bounding');
  const bounding = keeping(control, SHARE_AFTER_BOUNDING);
  const whole = buildModel(problem);
  const quickest = problem.maxPatterns < Infinity ? undefined : quickestPlan(whole);
  const { model, root, all } = quickest?.proved
    ? { model: whole, root: quickest.relaxation, all: undefined }
    : openWidths(whole, bounding, quickest?.plan.cost);
  const branches = openBranches(model, root, control, all);
  const search = keeping(control, shareForLayingOut(model));
  let best: Improved | undefined;
  for (let branch = branches.next(Infinity); branch; branch = branches.next(best.plan.cost)) {
    const found = planBranch(problem, branch, quickest?.plan, search, keepingTime(search, branches), tell);
    if (all) found.bound = Math.min(found.bound, branch.root.bound + setupBound(model, found.plan.cost));
    best = best ? better(best, found) : found;
    if (search.secondsLeft() <= 0) break;
  }
  if (!best) throw new Error('no branch of the problem was planned');
  const open = branches.openBound() + setupBound(model, best.plan.cost);
  const proof = {
    bound: Math.min(best.bound, roundUp(model, open)),
    worth: root.worth.strip,
    outOfTime: best.outOfTime,
  };
  tell('laying out', proof.bound, best.plan.cost, best.columns);
  const { plan, overdue } = choosePlan(problem, model, best, proof, control);
  if (overdue.length > 0) return planWithout(problem, overdue, plan.bound.cost, control);
  tell('done', plan.bound.cost, plan.cost.total, best.columns);
  return plan;
}

function shareForLayingOut(model: Model): number {
  const much = setupsCount(model) ? 1 : Math.min(1, model.demands.length / MANY_DEMANDS);
  return SHARE_FOR_LAYING_OUT * much;
}

/** Plans again without the rolls that could not be cut by their use-by day; the bound found with them still holds. */
function planWithout(problem: Problem, overdue: string[], bound: number, control: PlanControl): Plan {
  const plan = planSlitting(withoutRolls(problem, overdue), control);
  return plan.bound.cost <= bound ? plan : withBound(plan, bound);
}

type Tell = (phase: PlanProgress['phase'], bound?: number, best?: number, columns?: number) => void;

/** Plans one branch: everything about what is bought below a minimum order is decided in it. */
function planBranch(
  problem: Problem,
  { model, root }: Branch,
  quickest: IntegerPlan | undefined,
  control: PlanControl,
  toImprove: PlanControl,
  tell: Tell,
): Improved {
  const setups = setupsCount(model);
  const withSetups = setups
    ? relax(model, everything(model), [], { setups, enough: Infinity, control })
    : root;

  tell('building', root.bound, quickest?.cost, root.columns.length);
  const effort = { setups, enough: roundUp(model, root.bound), control };
  const known = { root, withSetups, mostPatterns: problem.maxPatterns };
  const start = begin(model, known, effort, quickest);
  handOut(problem, model, start.first.best, root, control);
  return improve(model, start, toImprove, tell);
}

/** Both branches together: the cheaper plan, the lower bound. */
function better(a: Improved, b: Improved): Improved {
  const { plan, curve } = b.plan.cost < a.plan.cost ? b : a;
  const columns = a.columns + b.columns;
  return { plan, curve, columns, bound: Math.min(a.bound, b.bound), outOfTime: a.outOfTime || b.outOfTime };
}

/** While branches are open, one of them may not take all the time. */
function keepingTime(control: PlanControl, branches: Branches): PlanControl {
  return branches.openBound() < Infinity ? keeping(control, SHARE_KEPT) : control;
}
