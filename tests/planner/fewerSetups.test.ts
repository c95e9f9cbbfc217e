// Fewer set-ups: published least numbers of patterns where rolls are counted, and on random problems with every limit
// on that each plan found is whole, no worse where it must not be, and the same each time.
import { describe, expect, test } from 'vitest';
import { combinePatterns } from '../../src/planner/improving/combinePatterns.ts';
import { fewerSetups } from '../../src/planner/improving/fewerSetups.ts';
import { costWithoutSetups, distinctPatterns, tradeOff } from '../../src/planner/improving/tradeOff.ts';
import { setsPerSite } from '../../src/planner/model/equalSites.ts';
import type { Case } from '../readCases.ts';
import { cuttingStock, readBenchmark, readCase } from '../readCases.ts';
import { begun, EFFORT, expectWhole } from './fewerSetupsPlans.ts';
import { randomProblem } from './reference/randomProblem.ts';

const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, k) => from + k);

/** Fewest rolls per number of patterns, checked plan by plan. */
function curveOf(document: Parameters<typeof begun>[0], work?: number): Map<number, number> {
  const start = begun(document);
  const points = fewerSetups(start.model, [start.first], EFFORT, work);
  for (const { plan, patterns } of points) expectWhole(start, plan, `${patterns} patterns`);
  return new Map(points.map(({ patterns, plan }) => [patterns, plan.cost]));
}

describe('textbook cases', () => {
  const textbook = (name: string) => readCase(`textbook/${name}`);
  const documentOf = (c: Case) => cuttingStock(c.stock_widths, c.items);

  test('roll-110 takes 47, 49 and 63 rolls with 5, 4 and 3 patterns, the published least', () => {
    const c = textbook('roll-110');
    const curve = curveOf(documentOf(c));
    for (const [patterns, rolls] of Object.entries(c.verified_answer.rolls_if_at_most_k_patterns))
      expect(curve.get(Number(patterns)), `${patterns} patterns`).toBe(rolls);
  });

  test('paper-5600 takes 73 rolls in at most 13 patterns, and none of the published 10 is undercut', () => {
    const c = textbook('paper-5600');
    const curve = curveOf(documentOf(c));
    const best = [...curve].filter(([, rolls]) => rolls === c.verified_answer.rolls).map(([n]) => n);
    expect(best).toHaveLength(1);
    expect(best[0]).toBeLessThanOrEqual(13);
    expect(best[0]).toBeGreaterThanOrEqual(c.verified_answer.min_patterns);
  });

  test('trimloss-12 stays at or above the published least rolls for each number of patterns', () => {
    const c = readCase('trim-loss/trimloss-12') as Case & {
      constraints: { max_strips: number; min_pattern_width: number };
    };
    const [web] = c.stock_widths as [number];
    const slitter = {
      maxStrips: c.constraints.max_strips,
      maxWasteStrips: 0,
      edgeTrimMaxMm: { left: web - c.constraints.min_pattern_width, right: 0 },
    };
    const curve = curveOf(cuttingStock([web], c.items, { slitter, overPct: 100 }));
    const least: Record<string, number> = c.verified_answer.min_rolls_by_pattern_limit;
    const met = [...curve].filter(([patterns]) => least[patterns] !== undefined);
    expect(met.length).toBeGreaterThanOrEqual(2);
    for (const [patterns, rolls] of met) {
      expect(rolls, `${patterns} patterns`).toBeGreaterThanOrEqual(least[patterns]!);
      expect(rolls, `${patterns} patterns`).toBeLessThanOrEqual(1.06 * least[patterns]!);
    }
  });
});

describe('combining', () => {
  const chosen = readBenchmark().filter(
    ({ source, items }) => source.startsWith('CUTGEN') && items.length <= 20,
  );
  test('takes at least a quarter of the patterns out of the CUTGEN plans without one more roll', () => {
    let [before, after] = [0, 0];
    for (const { name, rollWidth, items } of chosen) {
      const start = begun(
        cuttingStock(
          [rollWidth],
          items.map(([width, demand]) => ({ width, demand })),
        ),
      );
      const plan = combinePatterns(start.model, start.first, { work: 300_000 });
      expectWhole(start, plan, name);
      expect(plan.cost, name).toBeLessThanOrEqual(start.first.cost);
      before += distinctPatterns(start.model, start.first.sets);
      after += distinctPatterns(start.model, plan.sets);
    }
    expect(chosen.length).toBeGreaterThan(10);
    expect(after).toBeLessThanOrEqual(0.75 * before);
  });

  test.each(range(0, 5))('keeps every limit of random problems, block %d', (block) => {
    for (const seed of range(block * 20 + 1, block * 20 + 20)) {
      const start = begun(randomProblem(seed));
      const { model, first } = start;
      const plan = combinePatterns(model, first, { work: 50_000 });
      expectWhole(start, plan, `seed ${seed}`);
      expect(distinctPatterns(model, plan.sets)).toBeLessThanOrEqual(distinctPatterns(model, first.sets));
      const sets = setsPerSite(model, first.sets);
      setsPerSite(model, plan.sets).forEach((n, s) => {
        expect(n, `seed ${seed}: site ${s}`).toBeLessThanOrEqual(sets[s]!);
      });
      plan.short.forEach((n, d) => {
        expect(n, `seed ${seed}: demand ${d}`).toBeLessThanOrEqual(first.short[d]!);
      });
    }
  });
});

describe('the trade-off curve', () => {
  test.each(range(0, 5))('of random problems is a curve of whole plans, block %d', (block) => {
    for (const seed of range(block * 10 + 201, block * 10 + 210)) {
      const start = begun(randomProblem(seed));
      const { model, first } = start;
      const points = fewerSetups(model, [first], EFFORT, 100_000);
      const costs = points.map(({ plan }) => costWithoutSetups(model, plan));
      points.forEach(({ plan, patterns }, i) => {
        expectWhole(start, plan, `seed ${seed}, ${patterns} patterns`);
        expect(patterns).toBe(distinctPatterns(model, plan.sets));
        if (i > 0) expect(patterns).toBeLessThan(points[i - 1]!.patterns);
        if (i > 0) expect(costs[i]).toBeGreaterThan(costs[i - 1]!);
      });
      expect(costs[0], `seed ${seed}`).toBeLessThanOrEqual(costWithoutSetups(model, first) + 1e-6);
    }
  });

  test.each([301, 302, 303])('of problem %d is the same when it is asked for again', (seed) => {
    const { model, first } = begun(randomProblem(seed));
    const curve = () => fewerSetups(model, [first], EFFORT, 100_000);
    expect(curve()).toEqual(curve());
  });

  test('leaves out plans that another beats in both', () => {
    const { model, first } = begun(
      cuttingStock(
        [100],
        [
          { width: 40, demand: 6 },
          { width: 20, demand: 4 },
        ],
      ),
    );
    const dearer = { ...first, cost: first.cost + 1 };
    expect(tradeOff(model, [dearer, first])).toEqual([
      { patterns: distinctPatterns(model, first.sets), plan: first },
    ]);
  });

  test('ends at once when there is no time left', () => {
    const { model, first } = begun(randomProblem(301));
    const control = { secondsLeft: () => 0, report: () => {} };
    const points = fewerSetups(model, [first], { ...EFFORT, control });
    expect(points.length).toBeGreaterThan(0);
  });
});
