// However little time there is, a plan comes out that passes every check, with a proven bound beside it.
import { expect, test } from 'vitest';
import { cuttingStock } from '../readCases.ts';
import { planned } from './planned.ts';
import { randomProblem } from './reference/randomProblem.ts';

test.each([1, 2, 3, 4, 5, 6, 7, 8])(
  'random problem %d without any time has a checked plan and a bound',
  (seed) => {
    const plan = planned(randomProblem(seed), 0);
    expect(Number.isFinite(plan.bound.cost)).toBe(true);
    expect(plan.bound.cost).toBeLessThanOrEqual(plan.cost.total + 1e-6);
  },
);

test('so has a cutting-stock problem of forty widths', () => {
  const items = Array.from({ length: 40 }, (_, i) => ({ width: 100 + 7 * i, demand: 20 + i }));
  const plan = planned(cuttingStock([1000], items), 0);
  expect(plan.bound.cost).toBeGreaterThan(0);
});
