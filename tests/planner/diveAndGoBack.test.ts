// Triplets after Falkenauer (Journal of Heuristics 2, 1996): thirty rolls of 2000, each cut into three strips without any
// trim, so thirty is the least by the width alone. The plain dive is a roll above it on these seeds.
import { expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { relax } from '../../src/planner/bounding/bounding.ts';
import { diveAndGoBack } from '../../src/planner/building/diveAndGoBack.ts';
import { dive } from '../../src/planner/building/integerPlan.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import { everything } from '../../src/planner/model/remaining.ts';
import { cuttingStock } from '../readCases.ts';
import { seeded } from './reference/randomProblem.ts';

const ROLLS = 30;
const WIDTH = 2000;

function triplets(seed: number) {
  const random = seeded(seed);
  const wanted = new Map<number, number>();
  for (let roll = 0; roll < ROLLS; roll++) {
    const widest = 760 + Math.floor(random() * 240);
    const next = 501 + Math.floor(random() * ((WIDTH - widest) / 2 - 501 + 1));
    for (const width of [widest, next, WIDTH - widest - next])
      wanted.set(width, (wanted.get(width) ?? 0) + 1);
  }
  const parsed = parseProblem(
    cuttingStock(
      [WIDTH],
      [...wanted].map(([width, demand]) => ({ width, demand })),
    ),
  );
  if (!parsed.ok) throw new Error('not a problem');
  return buildModel(parsed.problem);
}

test.each([18, 33, 37])(
  'triplets %i: going back finds the plan without trim that the dive has not',
  (seed) => {
    const model = triplets(seed);
    const effort = { setups: false, enough: ROLLS, control: undefined };
    const root = relax(model, everything(model), [], { ...effort, enough: Infinity, toTheEnd: true });
    const plain = dive(model, root, effort, { nudge: () => 0 }).best;
    const found = diveAndGoBack(model, root, effort);
    expect(plain?.cost).toBe(ROLLS + 1);
    expect(found?.cost).toBe(ROLLS);
    expect(found?.short.every((n) => n === 0)).toBe(true);
  },
);

test('nothing is found below the least', () => {
  const model = triplets(37);
  const effort = { setups: false, enough: ROLLS - 1, control: undefined };
  const root = relax(model, everything(model), [], { ...effort, enough: Infinity, toTheEnd: true });
  expect(diveAndGoBack(model, root, effort)).toBeUndefined();
});
