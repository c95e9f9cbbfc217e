// Fewest patterns: published cases whose least rolls for so many patterns are known (sources in tests/cases), planned
// with a limit of patterns or with a small price for each set-up. Demands are "at least", so over-run costs nothing and
// must be allowed without end: within +100 % trimloss-12 cannot be made in 5 patterns at all, the published 100 rolls
// make three times as much of one width.
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import type { Case, Variant } from '../readCases.ts';
import { cuttingStock, readCase } from '../readCases.ts';
import { planned } from './planned.ts';

const MINUTES = 400_000;
const AT_LEAST = { overPct: 1000 };
const rollsOf = ({ runs }: Plan) => runs.reduce((sum, run) => sum + run.sets, 0);
const patternsOf = ({ runs }: Plan) =>
  new Set(runs.map(({ trimLeftMm, strips }) => JSON.stringify([trimLeftMm, strips.map(({ toMm }) => toMm)])))
    .size;

/** One roll costs 1, so a set-up at this price is that part of a roll. */
const setUpFor = (costPerHour: number) => ({ minutesPerSetup: 60, costPerHour });
const atMost = (maxPatterns: number, document: ProblemDocument): ProblemDocument => ({
  ...document,
  limits: { maxPatterns },
});

describe('roll-110', () => {
  const { items, verified_answer } = readCase('textbook/roll-110');
  const rolls = Object.entries<number>(verified_answer.rolls_if_at_most_k_patterns);
  test.each(rolls)('with at most %s patterns takes %d rolls', (patterns, least) => {
    const plan = planned(atMost(Number(patterns), cuttingStock([110], items, AT_LEAST)));
    expect(rollsOf(plan)).toBe(least);
    expect(patternsOf(plan)).toBeLessThanOrEqual(Number(patterns));
    expect(plan.status).toBe('best');
  });

  test('with too few patterns for its widths falls short and says why, rather than break the limit', () => {
    const plan = planned(atMost(2, cuttingStock([110], items, AT_LEAST)));
    expect(patternsOf(plan)).toBe(2);
    expect(plan.status).toBe('short');
    const [short] = plan.orders.filter((order) => order.short > 0);
    expect(short!.reasons.join()).toMatch(/^at most 2 patterns may be set up/);
  });
});

describe('trim loss with at most 5 strips and a least used width', () => {
  const limited = (path: string): [Case, Variant] => {
    const c = readCase(path) as Case & { constraints: { max_strips: number; min_pattern_width: number } };
    const [web] = c.stock_widths as [number];
    const edgeTrimMaxMm = { left: web - c.constraints.min_pattern_width, right: 0 };
    return [
      c,
      { ...AT_LEAST, slitter: { maxStrips: c.constraints.max_strips, maxWasteStrips: 0, edgeTrimMaxMm } },
    ];
  };

  test('trimloss-4a costs 19.6: 19 rolls and a tenth of a roll for the first pattern, two for the second, three for the third', () => {
    const [c, variant] = limited('trim-loss/trimloss-4a');
    const [web] = c.stock_widths as [number];
    const objective = [1, 2, 3, 4].map((most) => {
      const plan = planned(atMost(most, cuttingStock([web], c.items, variant)));
      const patterns = patternsOf(plan);
      const price = (0.1 * patterns * (patterns + 1)) / 2;
      return plan.status === 'short' ? Number.POSITIVE_INFINITY : rollsOf(plan) + price;
    });
    expect(Math.min(...objective)).toBeCloseTo(c.verified_answer.objective, 9);
  });

  test(
    'trimloss-12 takes 86 rolls in 9 patterns when a pattern costs a tenth of a roll',
    () => {
      const [c, variant] = limited('trim-loss/trimloss-12');
      const slitter = { ...variant.slitter, ...setUpFor(0.1) };
      const plan = planned(cuttingStock(c.stock_widths, c.items, { ...variant, slitter }));
      expect([rollsOf(plan), patternsOf(plan)]).toEqual([
        c.verified_answer.rolls,
        c.verified_answer.patterns,
      ]);
      expect(plan.status).toBe('best');
    },
    MINUTES,
  );

  /** These two take a minute each: with LANEWRIGHT_MANY only. */
  const LONG = process.env.LANEWRIGHT_MANY ? [] : ['7', '8'];
  const byLimit = Object.entries<number>(
    readCase('trim-loss/trimloss-12').verified_answer.min_rolls_by_pattern_limit,
  ).filter(([patterns]) => !LONG.includes(patterns));
  test.each(byLimit)(
    'trimloss-12 with at most %s patterns takes %d rolls, or one more where time ends first',
    (patterns, least) => {
      const [c, variant] = limited('trim-loss/trimloss-12');
      const plan = planned(atMost(Number(patterns), cuttingStock(c.stock_widths, c.items, variant)), 60);
      expect(rollsOf(plan)).toBeGreaterThanOrEqual(least);
      expect(rollsOf(plan)).toBeLessThanOrEqual(plan.stopped === 'proved' ? least : least + 1);
      expect(patternsOf(plan)).toBeLessThanOrEqual(Number(patterns));
      expect(plan.bound.cost).toBeLessThanOrEqual(least);
    },
    MINUTES,
  );
});

describe('least rolls first, then least patterns', () => {
  test(
    'paper-5600 is cut from 73 rolls in 10 patterns, proved',
    () => {
      const { stock_widths, items, verified_answer } = readCase('textbook/paper-5600');
      const plan = planned(cuttingStock(stock_widths, items, { slitter: setUpFor(0.01) }), 120);
      expect([rollsOf(plan), patternsOf(plan)]).toEqual([
        verified_answer.rolls,
        verified_answer.min_patterns,
      ]);
      expect(plan.status).toBe('best');
    },
    MINUTES,
  );

  test(
    'paper-5600 with at most 10 patterns and no price for set-ups is cut from 73 rolls, proved',
    () => {
      const { stock_widths, items, verified_answer } = readCase('textbook/paper-5600');
      const most = verified_answer.min_patterns;
      const plan = planned(atMost(most, cuttingStock(stock_widths, items)), 120);
      expect([rollsOf(plan), patternsOf(plan)]).toEqual([verified_answer.rolls, most]);
      expect(plan.status).toBe('best');
    },
    MINUTES,
  );

  test('coater-660 with at most 8 strips is cut from 55 sets in at most the 5 patterns that were found for it', () => {
    const { items, verified_answer } = readCase('constructed/coater-660-strip-limit');
    const slitter = { edgeTrimMinMm: { left: 8, right: 8 }, maxStrips: 8 };
    const { best_min_patterns_found_K8: most, 'K=8': least } = verified_answer;
    const plan = planned(atMost(most, cuttingStock([660], items, { ...AT_LEAST, slitter })), 60);
    expect(rollsOf(plan)).toBe(least.sets);
    expect(patternsOf(plan)).toBeLessThanOrEqual(most);
  });
});
