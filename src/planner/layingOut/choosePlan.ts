// Which of the plans found is the plan: laid out and timed, the cheapest, knife moves and lateness included. The others
// on the curve of cost against set-ups become its alternatives.
import type { Plan, PlanControl } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import type { Improved } from '../improving/improve.ts';
import type { Model } from '../model/model.ts';
import { setupsCount } from '../model/setups.ts';
import { type Assembled, assemblePlan, type Proof } from './assemble.ts';

/** Points of the curve that are laid out at most: the plan itself and those next to it. */
const MOST_POINTS = 7;

export function choosePlan(
  problem: Problem,
  model: Model,
  { plan, curve }: Improved,
  proof: Proof,
  control: PlanControl,
): Assembled {
  const chosen = assemblePlan(problem, model, plan, proof);
  if (!setupsCount(model) || chosen.overdue.length > 0) return chosen;
  const at = curve.findIndex((point) => point.plan === plan);
  const near = curve.filter((point, i) => point.plan !== plan && Math.abs(i - at) < MOST_POINTS / 2);
  const allowed = near.filter((point) => point.patterns <= problem.maxPatterns);
  const points = [chosen];
  for (const point of allowed) {
    if (control.secondsLeft() > 0) points.push(assemblePlan(problem, model, point.plan, proof));
  }
  const usable = points.filter(
    ({ plan: { status }, overdue }) =>
      overdue.length === 0 && (status === 'short') === (chosen.plan.status === 'short'),
  );
  const best = usable.reduce((a, b) => (b.plan.cost.total < a.plan.cost.total ? b : a));
  const alternatives = onCurve(usable.map((point) => point.plan)).filter((other) => other !== best.plan);
  return alternatives.length > 0 ? { ...best, plan: { ...best.plan, alternatives } } : best;
}

/** Cheaper without set-ups, or fewer set-ups: those that no other plan beats in both. */
function onCurve(plans: Plan[]): Plan[] {
  const work = (plan: Plan) => plan.cost.total - plan.cost.setups;
  const beaten = (plan: Plan) =>
    plans.some(
      (other) =>
        other !== plan &&
        work(other) <= work(plan) &&
        other.cost.setups <= plan.cost.setups &&
        (work(other) < work(plan) || other.cost.setups < plan.cost.setups),
    );
  return plans.filter((plan) => !beaten(plan)).sort((a, b) => a.cost.setups - b.cost.setups);
}
