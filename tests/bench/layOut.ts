// What an integer program says is to be cut, as a finished plan: the planner's own packing of rolls, order of runs and
// places of knives, so that two ways of choosing sets are compared by what comes out of them on the floor.
import type { Plan } from '../../src/domain/plan.ts';
import type { Problem } from '../../src/domain/problem.ts';
import { finish } from '../../src/planner/building/integerPlan.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { assemblePlan } from '../../src/planner/layingOut/assemble.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import type { Model, Pattern } from '../../src/planner/model/model.ts';
import type { ReferenceAnswer, ReferenceSets } from '../planner/reference/fullModel.ts';

export function layOut(problem: Problem, { sets }: ReferenceAnswer): Plan {
  const model = buildModel(problem);
  const own = sets.map((set) => ({ pattern: patternOf(model, set), times: set.times }));
  const whole = finish(model, own, { setups: true, enough: -Infinity, control: undefined });
  if (!whole) throw new Error('the sets cannot be laid out');
  const { plan } = assemblePlan(problem, model, whole, {
    bound: 0,
    worth: model.demands.map(() => 0),
    outOfTime: false,
  });
  const faults = checkPlan(problem, plan);
  if (faults.length > 0) throw new Error(faults.map(printPlanFault).join('\n'));
  return plan;
}

/** The same strips at the site of the model where sets of this length are cut from this roll. */
function patternOf(model: Model, { roll, slitter, lengthMm, strips }: ReferenceSets): Pattern {
  const source = model.sources.find(
    ({ stock, slitter: own }) =>
      own.id === slitter && model.stock[stock]!.nameOf(0).replace(/#\d+$/, '') === roll.id,
  );
  const site = source?.paths.edges
    .map((edge) => model.sites[edge.site])
    .find((one) => one?.place.lengthMm === lengthMm && one.wholeRollOf === undefined);
  if (!site) throw new Error(`roll ${roll.id} has no place for sets of ${lengthMm} mm`);
  const counts = site.demands.map(() => 0);
  strips.forEach((n, order) => {
    const k = site.demands.findIndex((d) => model.demands[d]!.orders.includes(order));
    if (n > 0 && k < 0) throw new Error(`order ${order} cannot be cut from roll ${roll.id}`);
    if (n > 0) counts[k] = (counts[k] ?? 0) + n;
  });
  return { site: site.index, counts };
}
