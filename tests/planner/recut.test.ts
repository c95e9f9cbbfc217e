import { describe, expect, it } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { relax } from '../../src/planner/bounding/bounding.ts';
import { listPatterns } from '../../src/planner/bounding/listPatterns.ts';
import { openFilm } from '../../src/planner/building/filmTaken.ts';
import { dive, finish, rollsUsed } from '../../src/planner/building/integerPlan.ts';
import { openRecutting } from '../../src/planner/building/recut.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import { stripsMade } from '../../src/planner/model/equalSites.ts';
import { everything } from '../../src/planner/model/remaining.ts';
import { fullCases } from '../bench/fullCases.ts';

const CONTROL = { secondsLeft: () => Infinity, report: () => {} };
const EFFORT = { setups: true, enough: -Infinity, control: undefined };

function modelOf(document: ProblemDocument) {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  return buildModel(parsed.problem);
}

describe('film taken', () => {
  // two rolls of 1000 m at 100; a stub of 300 m or more is kept at its share, so two sets of 300 m cost 60, three 100
  const model = modelOf({
    format: 'lanewright-problem/1',
    slitters: [{ id: 'S' }],
    products: [{ id: 'P' }],
    rolls: [{ id: 'R', kind: 'coated', item: 'P', widthMm: 500, lengthM: 1000, costPerRoll: 100, count: 2 }],
    orders: [{ id: 'A', product: 'P', widthMm: 120, lengthM: 300, rolls: 9 }],
  });

  it.each([
    [0, 0],
    [1, 30],
    [2, 60],
    [3, 90],
    [4, 120],
    [5, 160],
    [6, 200],
    [7, Infinity],
  ])('of %i sets costs %d', (sets, cost) => {
    expect(openFilm(model).cost([sets])).toBeCloseTo(cost, 9);
  });

  it('leaves room for as many sets as all rolls give beside those that are cut', () => {
    expect([0, 4, 6].map((sets) => openFilm(model).roomFor(0, [sets]))).toEqual([6, 2, 0]);
  });
});

describe('runs cut in another way', () => {
  it.each(fullCases().filter((_, i) => i % 10 === 0))(
    'make $name cheaper, on rolls that are there',
    ({ document }) => {
      const model = modelOf(document);
      const [root, withSetups] = [false, true].map((setups) =>
        relax(model, everything(model), [], { ...EFFORT, setups, enough: Infinity }),
      );
      const first = dive(model, withSetups!, EFFORT, { nudge: () => 0 }).best!;
      const all = listPatterns(model, root!.proven, Infinity, 20_000, true)!;
      const start = { withSetups: withSetups!, mostPatterns: Infinity };
      const plans = openRecutting(model, all, start, CONTROL)!.once(first);
      expect(plans.length).toBeGreaterThan(0);
      for (const plan of plans) {
        expect(plan.cost).toBeLessThan(first.cost);
        expect(plan.cost).toBeCloseTo(finish(model, plan.sets, EFFORT)!.cost, 6);
        const made = stripsMade(model, plan.sets);
        model.demands.forEach(({ min }, d) => {
          expect(made[d]! + plan.short[d]!).toBeGreaterThanOrEqual(min);
        });
        rollsUsed(model, plan.sets, plan.layouts).forEach((n, s) => {
          expect(n).toBeLessThanOrEqual(model.stock[s]!.count);
        });
      }
    },
  );
});
