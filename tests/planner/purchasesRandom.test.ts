// Random problems of buying, from seeds: against the independent integer program, through checkPlan, and the bound of
// widths opened one after the other against that of all widths at once. A failing seed is named in the message.
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { relax } from '../../src/planner/bounding/bounding.ts';
import { openWidths } from '../../src/planner/bounding/offeredWidths.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import { everything } from '../../src/planner/model/remaining.ts';
import { planned } from './planned.ts';
import { leastCost } from './reference/fullModel.ts';
import { randomPurchases } from './reference/randomPurchases.ts';

const SECONDS = 10;
const BLOCK_MS = 300_000;
const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, k) => from + k);

function problemOf(seed: number) {
  const parsed = parseProblem(randomPurchases(seed));
  if (!parsed.ok) throw new Error(`seed ${seed}: ${JSON.stringify(parsed.faults)}`);
  return parsed.problem;
}

describe('against the independent integer program', () => {
  let proved = 0;
  const seeds = range(1, 40);
  test.each(range(0, 3))(
    'what block %d buys costs least, and no bound is above it',
    (block) => {
      for (const seed of seeds.slice(block * 10, block * 10 + 10)) {
        const reference = leastCost(problemOf(seed));
        if (reference.cost === undefined) throw new Error(`seed ${seed}: no proved optimum to compare with`);
        const plan = planned(randomPurchases(seed), SECONDS);
        const what = `seed ${seed}: ${plan.cost.total} (bound ${plan.bound.cost}), reference ${reference.cost}`;
        const slack = 1e-5 * Math.max(1, reference.cost);
        expect(plan.bound.cost, what).toBeLessThan(reference.cost + slack);
        expect(plan.cost.total, what).toBeGreaterThan(reference.cost - slack);
        if (plan.stopped !== 'proved') continue;
        proved++;
        expect(plan.cost.total, what).toBeLessThan(reference.cost + slack);
      }
    },
    BLOCK_MS,
  );
  test('and most of them are proved', () => expect(proved).toBeGreaterThan(0.75 * seeds.length));
});

describe('widths opened one after the other', () => {
  test.each(range(1, 20))('prove the bound of all widths at once (seed %d)', (seed) => {
    const model = buildModel(problemOf(seed));
    const control = { secondsLeft: () => Infinity, report: () => {} };
    const { root, all } = openWidths(model, control, Infinity, 0);
    const atOnce = relax(model, everything(model), [], { setups: false, enough: Infinity, control });
    expect(root.bound).toBeLessThan(atOnce.objective + 1e-5 * Math.max(1, atOnce.objective));
    expect(root.bound).toBeGreaterThan(atOnce.bound - 1e-4 * Math.max(1, atOnce.objective));
    expect(all ?? model).toBe(model);
  });
});

describe('through checkPlan', () => {
  test.each(range(0, process.env.LANEWRIGHT_MANY ? 19 : 9))(
    'every plan of block %d passes',
    (block) => {
      for (const seed of range(1001 + 10 * block, 1010 + 10 * block)) {
        const plan = planned(randomPurchases(seed), 1);
        expect(plan.bound.cost, `seed ${seed}`).toBeLessThanOrEqual(plan.cost.total + 1e-6);
      }
    },
    BLOCK_MS,
  );
});
