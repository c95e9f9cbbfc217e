// Catalogue widths fill up patterns where that pays and never cost an order its roll; against the independent integer
// program on small random problems that all have fillers, some as wide and as long as an order.
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from './planned.ts';
import { leastCost } from './reference/fullModel.ts';
import { randomProblem, seeded } from './reference/randomProblem.ts';

const SECONDS = 20;
const BLOCK_MS = 240_000;
const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, k) => from + k);

/** A random problem with one to three fillers, the first often just like an order. */
function randomFillers(seed: number): ProblemDocument {
  const document = randomProblem(seed);
  const random = seeded(seed + 7);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const { widthMm, lengthM } = document.orders[0]!;
  const twin = random() < 0.6;
  const filler = (k: number) => ({
    product: 'P',
    widthMm: k === 0 && twin ? widthMm : whole(40, 160),
    lengthM: k === 0 && twin ? lengthM : document.orders[whole(0, document.orders.length - 1)]!.lengthM,
    valuePerRoll: random() < 0.2 ? whole(20, 60) : whole(0, 9),
    maxRolls: whole(0, 8),
  });
  return { ...document, fillers: range(0, whole(0, 2)).map(filler) };
}

describe('random problems with fillers', () => {
  let compared = 0;
  test.each(range(0, 5))(
    'of block %d have the least cost that the independent integer program finds',
    (block) => {
      for (const seed of range(3001 + 8 * block, 3008 + 8 * block)) {
        const document = randomFillers(seed);
        const parsed = parseProblem(document);
        if (!parsed.ok) throw new Error(`seed ${seed}: ${JSON.stringify(parsed.faults)}`);
        const { cost } = leastCost(parsed.problem);
        if (cost === undefined) continue;
        compared++;
        const plan = planned(document, SECONDS);
        const slack = 1e-5 * Math.max(1, Math.abs(cost));
        const what = `seed ${seed}: planner ${plan.cost.total} (bound ${plan.bound.cost}), reference ${cost}`;
        expect(plan.bound.cost, what).toBeLessThan(cost + slack);
        expect(plan.cost.total, what).toBeGreaterThan(cost - slack);
        if (plan.stopped === 'proved') expect(plan.cost.total, what).toBeLessThan(cost + slack);
      }
    },
    BLOCK_MS,
  );

  test('and nearly all of them were proved by it', () => expect(compared).toBeGreaterThan(40));
});

/** Two sets of 4 x 120 mm on a 540 mm web leave 60 mm beside them: room for one filler a set. */
function withFiller(filler: { widthMm: number; valuePerRoll: number; maxRolls: number }): ProblemDocument {
  return {
    format: 'lanewright-problem/1',
    slitters: [{ id: 'S' }],
    products: [{ id: 'P' }],
    rolls: [{ id: 'R', widthMm: 540, lengthM: 100, count: 3, costPerRoll: 54 }],
    orders: [{ id: 'A', product: 'P', widthMm: 120, lengthM: 100, rolls: 8 }],
    fillers: [{ product: 'P', lengthM: 100, ...filler }],
  };
}
const fillersIn = (document: ProblemDocument) =>
  planned(document).runs.reduce(
    (sum, run) => sum + run.sets * run.strips.filter((strip) => strip.filler !== undefined).length,
    0,
  );

describe('a filler', () => {
  test('takes what the orders leave, and no third roll while its value is below the film', () => {
    const plan = planned(withFiller({ widthMm: 60, valuePerRoll: 5, maxRolls: 40 }));
    expect(plan.orders[0]).toMatchObject({ planned: 8, short: 0 });
    expect(plan.cost.material).toBeCloseTo(2 * 54 - 2 * 5, 6);
    expect(plan.yield.fillerM2).toBeCloseTo(2 * 6, 9);
  });

  test('is slit on a roll of its own once nine of them are worth more than the roll', () => {
    expect(fillersIn(withFiller({ widthMm: 60, valuePerRoll: 6.1, maxRolls: 40 }))).toBe(11);
    expect(fillersIn(withFiller({ widthMm: 60, valuePerRoll: 5.9, maxRolls: 40 }))).toBe(2);
  });

  test('is made no more often than allowed', () => {
    expect(fillersIn(withFiller({ widthMm: 60, valuePerRoll: 5, maxRolls: 1 }))).toBe(1);
    expect(fillersIn(withFiller({ widthMm: 60, valuePerRoll: 5, maxRolls: 0 }))).toBe(0);
  });

  test('never takes the place of an order, however much it is worth', () => {
    const document = withFiller({ widthMm: 60, valuePerRoll: 50, maxRolls: 40 });
    document.rolls![0]!.count = 2;
    expect(planned(document).orders[0]).toMatchObject({ planned: 8, short: 0 });
  });

  test('as wide as an order counts as one width with it', () => {
    const document = withFiller({ widthMm: 120, valuePerRoll: 5, maxRolls: 40 });
    document.slitters[0]!.maxDistinctWidths = 1;
    document.orders[0]!.rolls = 3;
    const plan = planned(document);
    expect(plan.orders[0]).toMatchObject({ planned: 3, short: 0, over: 0 });
    expect(plan.yield.fillerM2).toBeCloseTo(12, 9);
  });
});
