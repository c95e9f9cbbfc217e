// That what is called proved is so where settings of the knives cost something or are limited: small random problems
// against an independent integer program in which every place of the knives is written out.
//   LANEWRIGHT_MANY=600 takes as many problems (40 otherwise), LANEWRIGHT_FROM=1000 begins at another seed.
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { planned } from './planned.ts';
import { leastCostByPlaces } from './reference/knifeModel.ts';
import { randomKnives, UNIT_UM } from './reference/randomKnives.ts';

const MANY = Number(process.env.LANEWRIGHT_MANY ?? 40);
const FROM = Number(process.env.LANEWRIGHT_FROM ?? 1);
const BLOCK = 10;
const BLOCK_MS = 900_000;
const SECONDS = 20;
const blocks = Array.from({ length: Math.ceil(MANY / BLOCK) }, (_, block) => FROM + BLOCK * block);

describe('settings of the knives', () => {
  let compared = 0;
  let proved = 0;
  test.each(blocks)(
    'problems from seed %d on: no bound is above the least cost, no plan below it, and what is proved costs just that',
    (first) => {
      for (let seed = first; seed < Math.min(first + BLOCK, FROM + MANY); seed++) {
        const document = randomKnives(seed);
        const parsed = parseProblem(document);
        if (!parsed.ok) throw new Error(`seed ${seed}: ${JSON.stringify(parsed.faults)}`);
        const least = leastCostByPlaces(parsed.problem, UNIT_UM);
        if (least === undefined) continue;
        compared++;
        const plan = planned(document, SECONDS);
        const what = `seed ${seed}: planner ${plan.cost.total} (bound ${plan.bound.cost}), least ${least}`;
        const slack = 1e-5 * Math.max(1, Math.abs(least));
        expect.soft(plan.bound.cost, what).toBeLessThan(least + slack);
        expect.soft(plan.cost.total, what).toBeGreaterThan(least - slack);
        if (plan.stopped === 'proved') proved++;
      }
    },
    BLOCK_MS,
  );
  test('nearly all have a least cost to compare with, and most are proved', () => {
    expect(compared).toBeGreaterThan(0.9 * MANY);
    // settings that are kept ready are left out of the bound, so fewer of those problems are proved
    expect(proved).toBeGreaterThan(0.5 * MANY);
  });
});
