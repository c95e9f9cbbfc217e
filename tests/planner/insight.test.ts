// What a little more would be worth, against the worked examples (sources in tests/cases) and against whole plans.
import { describe, expect, it, test } from 'vitest';
import type { Insight, InsightLine, Range } from '../../src/domain/insight.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { insightOf } from '../../src/planner/insight/insight.ts';
import { cuttingStock, readCase } from '../readCases.ts';
import { randomProblem } from './reference/randomProblem.ts';

const NEVER = { secondsLeft: () => Infinity, report: () => {} };
const roll110 = readCase('textbook/roll-110');
const coater = readCase('constructed/coater-660-strip-limit');
const extra = readCase('constructed/roll-110-extra-width');

function insight(document: ProblemDocument, grid?: Parameters<typeof insightOf>[2]): Insight {
  const read = parseProblem(document);
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return insightOf(read.problem, NEVER, grid);
}
const NO_GRID = { fromMm: 1, toMm: 0, stepMm: 1 };
const lineOf = (found: Insight, what: InsightLine['what']) =>
  found.lines.filter((line) => line.what === what) as (InsightLine & { saves: Range })[];

function expectExactly(range: Range, value: number, digits = 4): void {
  expect(range.least).toBeCloseTo(value, digits);
  expect(range.most).toBeCloseTo(value, digits);
}

describe('one extra width beside 110 (roll-110-extra-width)', () => {
  const raw = (width: number) => ({ width, cost: width });
  const found = insight(cuttingStock([raw(110)], extra.items), { fromMm: 80, toMm: 135, stepMm: 5 });
  const [study] = found.widths;
  it('costs 5170 without one', () =>
    expectExactly(study!.without.cost, extra.verified_answer.base_total_width));
  it('finds 115 best, with 4885 in all, by proved plans', () => {
    const [best] = study!.candidates;
    expect(best).toMatchObject({ widthMm: extra.verified_answer.best_extra, planned: true });
    expectExactly(best!.cost, extra.verified_answer.best_total_width);
  });
  test.each(Object.entries(extra.verified_answer.runner_up as Record<string, number>))(
    'gives %s its published total of %d',
    (width, total) => {
      const candidate = study!.candidates.find(({ widthMm }) => widthMm === Number(width));
      expectExactly(candidate!.cost, total);
    },
  );
  it('tries all of 80 to 135 by 5 but 110 itself', () => expect(study!.candidates).toHaveLength(11));
});

describe('one more strip (coater-660-strip-limit)', () => {
  const trimmed = (maxStrips?: number) =>
    insight(
      cuttingStock([660], coater.items, {
        slitter: { edgeTrimMinMm: { left: 8, right: 8 }, ...(maxStrips === undefined ? {} : { maxStrips }) },
      }),
      NO_GRID,
    );
  it('is worth the published difference of bounds from 5 to 6 strips', () => {
    const [line] = lineOf(trimmed(5), 'one-more-strip');
    const { verified_answer: answer } = coater;
    expectExactly(line!.saves, answer['K=5'].lp - answer['K=6'].lp);
  });
  it('is not asked where no limit is set', () => expect(lineOf(trimmed(), 'one-more-strip')).toEqual([]));
  it('gives the published marginal value of 83 mm without a limit, and 1/6 of a roll for every width with 6', () => {
    const costOf83 = (found: Insight) =>
      found.lines.flatMap((line) =>
        line.what === 'one-more-roll' && line.order === 'width-83' ? [line.costs] : [],
      )[0];
    expect(costOf83(trimmed())).toBeCloseTo(0.128882, 5);
    const six = trimmed(6).lines.flatMap((line) => (line.what === 'one-more-roll' ? [line.costs] : []));
    for (const cost of six) expect(cost).toBeCloseTo(1 / 6, 5);
  });
  it('puts the same value on a millimetre left and right', () => {
    const [left, right] = lineOf(trimmed(), 'usable-width');
    expect(left!.saves.least).toBeCloseTo(right!.saves.least, 6);
    expect(left!.saves.least).toBeGreaterThan(0);
  });
});

describe('the value of tolerance', () => {
  it('is what exact quantities cost more, for each order and all together', () => {
    const tolerant = insight(cuttingStock([110], roll110.items, { overPct: 10, underPct: 10 }), NO_GRID);
    const exact = insight(cuttingStock([110], roll110.items), NO_GRID);
    const [together, ...single] = lineOf(tolerant, 'tolerance');
    expectExactly(together!.saves, exact.base!.least - tolerant.base!.least);
    expect(together!.saves.least).toBeGreaterThan(0);
    // 8 rolls +/-10 % are exactly 8: that order has no tolerance to lose.
    expect(single).toHaveLength(roll110.items.filter(({ demand }) => demand >= 10).length);
    for (const { saves } of single) {
      expect(saves.most).toBeGreaterThan(-1e-6);
      expect(saves.least).toBeLessThan(together!.saves.most + 1e-6);
    }
  });
  it('is not asked of orders without one', () =>
    expect(lineOf(insight(cuttingStock([110], roll110.items), NO_GRID), 'tolerance')).toEqual([]));
});

describe('random problems', () => {
  test.each(Array.from({ length: 12 }, (_, k) => k + 400))(
    '%d: more freedom never costs more, and ranges are tight',
    (seed) => {
      const found = insight(randomProblem(seed), NO_GRID);
      expect(found.complete).toBe(true);
      const scale = Math.max(1, Math.abs(found.base!.most));
      for (const line of found.lines) {
        if (!('saves' in line)) continue;
        expect(line.saves.most, JSON.stringify(line)).toBeGreaterThan(-1e-6 * scale);
        expect(line.saves.least, JSON.stringify(line)).toBeLessThan(line.saves.most + 1e-9 * scale);
        expect(line.saves.most - line.saves.least, JSON.stringify(line)).toBeLessThan(0.05 * scale);
      }
    },
  );
  it('stop when the time is up and say so', () => {
    let asked = 0;
    const read = parseProblem(cuttingStock([110], roll110.items, { overPct: 10 }));
    if (!read.ok) throw new Error('faulty');
    const found = insightOf(read.problem, { secondsLeft: () => (asked++ > 3 ? 0 : 1), report: () => {} });
    expect(found.complete).toBe(false);
    expect(found.widths).toEqual([]);
  });
});
