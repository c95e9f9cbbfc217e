// What a plant may wish beyond the machine's limits, by hand: splices at a price, old stubs used up, strips kept away
// from the edges of the roll.
import { describe, expect, test } from 'vitest';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from './planned.ts';

type Part<Name extends 'rolls' | 'orders'> = NonNullable<ProblemDocument[Name]>[number];
const order = (more: Partial<Part<'orders'>> = {}) => {
  return { id: 'A', product: 'P', widthMm: 1000, lengthM: 100, rolls: 1, ...more };
};
const roll = (id: string, more: Partial<Part<'rolls'>> = {}) => ({
  id,
  widthMm: 1000,
  lengthM: 200,
  ...more,
});
function problemOf(
  rolls: Part<'rolls'>[],
  orders: Part<'orders'>[],
  more: Partial<ProblemDocument> = {},
): ProblemDocument {
  return {
    format: 'lanewright-problem/1',
    slitters: [{ id: 'S' }],
    products: [{ id: 'P' }],
    rolls,
    orders,
    ...more,
  };
}
const used = ({ runs }: { runs: { from: { roll: string }[] }[] }) =>
  runs.flatMap(({ from }) => from.map((one) => one.roll));

describe('a splice at a price', () => {
  // one set of 150 m: 60 m before the flag and 90 m behind it, or another roll that costs 3 more
  const flagged = roll('FLAG', { lengthM: 151, costPerRoll: 10, defects: [{ fromM: 60, toM: 61 }] });
  const clean = roll('CLEAN', { lengthM: 150, costPerRoll: 13 });
  const products = [{ id: 'P', maxSplicesPerRoll: 1 }];
  const plan = (perSplice: number) =>
    planned(problemOf([flagged, clean], [order({ lengthM: 150 })], { products, costs: { perSplice } }));

  test('is made where that costs less than another roll', () => {
    expect([used(plan(2)), plan(2).cost.total, plan(2).status]).toEqual([['FLAG'], 12, 'best']);
  });
  test('is not made where another roll costs less', () => {
    expect([used(plan(4)), plan(4).cost.total, plan(4).status]).toEqual([['CLEAN'], 13, 'best']);
  });
});

describe('an old stub', () => {
  // 1 m2 costs 0.5 on the stub and 0.45 on the roll, of which the rest is kept
  const stub = (lengthM: number) => roll('STUB', { kind: 'stub', lengthM, costPerRoll: lengthM / 2 });
  const fresh = roll('ROLL', { lengthM: 1000, costPerRoll: 450 });
  const plan = (lengthM: number, stubUseUp: number) =>
    planned(problemOf([stub(lengthM), fresh], [order()], { costs: { stubUseUp } }));

  test('is left alone where another roll costs less', () => {
    expect([used(plan(100, 0)), plan(100, 0).cost.total]).toEqual([['ROLL'], 45]);
  });
  test('is used up where that is worth more', () => {
    expect([used(plan(100, 10)), plan(100, 10).cost.total]).toEqual([['STUB'], 40]);
    expect(plan(100, 10).status).toBe('best');
  });
  test('earns nothing while something is kept of it', () => {
    expect([used(plan(250, 10)), plan(250, 10).cost.total]).toEqual([['ROLL'], 45]);
  });
  test('never earns more than it costs', () => {
    expect(plan(100, 1000).cost.total).toBe(0);
  });
});

describe('strips kept away from the edge', () => {
  const web = [roll('R', { lengthM: 100, count: 4, costPerRoll: 10 })];
  const strips = (widthMm: number, rolls: number, more = {}) => order({ widthMm, rolls, ...more });

  test('ask for that much edge trim on both sides', () => {
    expect(planned(problemOf(web, [strips(250, 4)])).cost.total).toBe(10);
    const plan = planned(problemOf(web, [strips(250, 4, { awayFromEdgeMm: 100 })]));
    expect([plan.cost.total, plan.status]).toEqual([20, 'best']);
    for (const run of plan.runs)
      expect(Math.min(run.trimLeftMm, run.trimRightMm)).toBeGreaterThanOrEqual(100);
  });
  test('leave sets of other strips as they are', () => {
    const orders = [strips(200, 4, { awayFromEdgeMm: 100 }), { ...strips(250, 4), id: 'B' }];
    const plan = planned(problemOf(web, orders));
    expect([plan.cost.total, plan.status]).toEqual([20, 'best']);
    expect(plan.runs.map(({ trimLeftMm }) => trimLeftMm).sort((a, b) => a - b)).toEqual([0, 100]);
  });
  test('are the same as others where the edges are trimmed so far anyway', () => {
    const slitters = [{ id: 'S', edgeTrimMinMm: { left: 20, right: 20 } }];
    const orders = [strips(240, 2, { awayFromEdgeMm: 20 }), { ...strips(240, 2), id: 'B' }];
    expect(planned(problemOf(web, orders, { slitters })).cost.total).toBe(10);
  });
  test('cannot be cut where the slitter cannot trim so much, and the plan says so', () => {
    const slitters = [{ id: 'S', edgeTrimMaxMm: { left: 60, right: 60 } }];
    const plan = planned(problemOf(web, [strips(220, 4, { awayFromEdgeMm: 100 })], { slitters }));
    expect(plan.status).toBe('short');
    expect(plan.orders[0]?.reasons).toEqual(['an edge of 100 mm must go, more than S can trim']);
  });
});

describe('patterns that are set up already', () => {
  // 4 x 250 from one roll and 2 x 500 from another is two settings; 250 250 500 from both is one
  const slitters = [{ id: 'S', minutesPerSetup: 60, minutesPerKnifeMove: 10, costPerHour: 60 }];
  const web = [roll('R', { lengthM: 100, count: 4, costPerRoll: 10 })];
  const orders = [order({ widthMm: 250, rolls: 4 }), { ...order({ widthMm: 500, rolls: 2 }), id: 'B' }];
  const kept = [0, 250, 500, 750, 1000];
  const keep = (knivesAtMm: number[][]) => ({
    keepPatterns: knivesAtMm.map((knives) => ({ slitter: 'S', knivesAtMm: knives })),
  });

  test('need no set-up and no move, and are preferred', () => {
    const without = planned(problemOf(web, orders, { slitters }));
    expect([without.cost.setups, without.runs.length]).toEqual([60, 1]);
    const both = planned(problemOf(web, orders, { slitters, limits: keep([kept, [0, 500, 1000]]) }));
    expect([both.cost.setups, both.cost.total, both.status]).toEqual([0, 20, 'best']);
    expect(both.runs.map(({ strips }) => strips.length).sort()).toEqual([2, 4]);
  });
  test('are no help to a pattern whose knives stand elsewhere', () => {
    const plan = planned(problemOf(web, orders, { slitters, limits: keep([[0, 300, 1000]]) }));
    expect(plan.cost.setups).toBe(60);
  });
  test('on a slitter that does not exist are a fault', () => {
    const faulty = problemOf(web, orders, {
      limits: { keepPatterns: [{ slitter: 'X', knivesAtMm: [0, 9] }] },
    });
    expect(() => planned(faulty)).toThrow('limits.keepPatterns[0].slitter');
  });
});
