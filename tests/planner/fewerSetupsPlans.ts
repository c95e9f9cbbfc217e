// First plans to take set-ups out of, and the check that every plan found is whole and keeps every limit.
import { expect } from 'vitest';
import type { Problem } from '../../src/domain/problem.ts';
import { parseProblem, printFault } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { relax } from '../../src/planner/bounding/bounding.ts';
import { costed, dive, type IntegerPlan } from '../../src/planner/building/integerPlan.ts';
import { slotsIn } from '../../src/planner/building/packRolls.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { assemblePlan } from '../../src/planner/layingOut/assemble.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import { setsPerSite, stripsMade } from '../../src/planner/model/equalSites.ts';
import type { Model } from '../../src/planner/model/model.ts';
import { everything } from '../../src/planner/model/remaining.ts';
import { needsCap } from '../../src/planner/planRows/demandNotExceeded.ts';

export interface Begun {
  problem: Problem;
  model: Model;
  /** Proven for cost without set-ups. */
  bound: number;
  first: IntegerPlan;
}

export const EFFORT = { setups: false, enough: Number.NEGATIVE_INFINITY, control: undefined };

/** The first dive's plan of a document. */
export function begun(document: ProblemDocument): Begun {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(parsed.faults.map(printFault).join('\n'));
  const model = buildModel(parsed.problem);
  const root = relax(model, everything(model), [], { ...EFFORT, enough: Number.POSITIVE_INFINITY });
  const first = dive(model, root, { ...EFFORT, enough: root.bound }, { nudge: () => 0 }).best;
  if (!first) throw new Error('the first dive ended without a plan');
  return { problem: parsed.problem, model, bound: root.bound, first };
}

/** Slots, stock, quantities and cost against the model; then the whole plan through the independent checker. */
export function expectWhole({ problem, model, bound }: Begun, plan: IntegerPlan, what: string): void {
  const made = stripsMade(model, plan.sets);
  model.demands.forEach((demand, d) => {
    expect(made[d]! + plan.short[d]!, `${what}: demand ${d}`).toBeGreaterThanOrEqual(demand.min);
    if (needsCap(model, d)) expect(made[d], `${what}: demand ${d}`).toBeLessThanOrEqual(demand.max);
  });
  const slots = slotsIn(model, plan.layouts);
  const rolls = model.stock.map(() => 0);
  setsPerSite(model, plan.sets).forEach((sets, s) => {
    const { wholeRollOf } = model.sites[s]!;
    if (wholeRollOf === undefined) expect(sets, `${what}: slots of site ${s}`).toBeLessThanOrEqual(slots[s]!);
    else rolls[model.sources[wholeRollOf]!.stock]! += sets;
  });
  for (const { layout, times } of plan.layouts) rolls[model.sources[layout.source]!.stock]! += times;
  rolls.forEach((n, s) => {
    expect(n, `${what}: rolls of stock ${s}`).toBeLessThanOrEqual(model.stock[s]!.count);
  });
  expect(plan.cost, what).toBeCloseTo(costed(model, plan.sets, plan.layouts).cost, 6);
  const proof = { bound, worth: model.demands.map(() => 0), outOfTime: false };
  const faults = checkPlan(problem, assemblePlan(problem, model, plan, proof).plan);
  expect(faults.map(printPlanFault), what).toEqual([]);
}
