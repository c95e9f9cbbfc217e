// The bound of film and settings together, on small random problems with set-ups: never above the least cost that
// HiGHS proves of the whole problem written out, nor above that of every place of the knives written out.
//   LANEWRIGHT_MANY=400 takes so many of the first and four times as many of the second (3 otherwise).
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { settingsBound } from '../../src/planner/bounding/settingsBound.ts';
import { buildModel } from '../../src/planner/model/buildModel.ts';
import { fullCases } from '../bench/fullCases.ts';
import { leastCost } from './reference/fullModel.ts';
import { leastCostByPlaces } from './reference/knifeModel.ts';
import { randomKnives, UNIT_UM } from './reference/randomKnives.ts';
import { randomSetups } from './reference/randomProblem.ts';

const MANY = Number(process.env.LANEWRIGHT_MANY ?? 3);
const CONTROL = { secondsLeft: () => Infinity, report: () => {} };

function problemOf(document: ProblemDocument) {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  return parsed.problem;
}
type Problem = ReturnType<typeof problemOf>;

describe('the bound of film and settings', () => {
  test.each([
    {
      what: 'the whole written out',
      many: MANY,
      document: randomSetups,
      least: (problem: Problem) => leastCost(problem).cost,
    },
    {
      what: 'every place of the knives',
      many: 4 * MANY,
      document: randomKnives,
      least: (problem: Problem) => leastCostByPlaces(problem, UNIT_UM),
    },
  ])(
    'is never above the least cost by $what',
    ({ many, document, least }) => {
      let reckoned = 0;
      for (let seed = 1; seed <= many; seed++) {
        const problem = problemOf(document(seed));
        const bound = settingsBound(buildModel(problem), CONTROL);
        const cost = Number.isFinite(bound) ? least(problem) : undefined;
        if (cost === undefined) continue;
        reckoned++;
        expect.soft(bound, `seed ${seed}`).toBeLessThan(cost + 1e-5 * Math.max(1, Math.abs(cost)));
      }
      expect(reckoned).toBeGreaterThan(many / 4);
    },
    600_000,
  );

  test('on one web lies above film and the least number of settings apart', () => {
    // 8 orders, webs of one width: film alone costs 4710 at least, and 3 set-ups at 30 cannot be done without
    const model = buildModel(problemOf(fullCases()[0]!.document));
    expect(settingsBound(model, CONTROL)).toBeGreaterThan(4710 + 3 * 30);
  });
});
