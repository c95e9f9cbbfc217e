// Rolls to start for a wanted number of good ones, against the worked example, exact fractions and the normal law.
import { describe, expect, it } from 'vitest';
import { chanceOfEnough, rollsToStart } from '../../src/domain/goodRolls.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { planSlitting } from '../../src/planner/planSlitting.ts';
import { cuttingStock, readCase } from '../readCases.ts';

const { verified_answer: answer } = readCase('constructed/binomial-overmake');

/** P(at least good of started) in whole numbers: share = part / 100, exact to the last digit. */
function exactChance(good: number, started: number, part: number): number {
  let sum = 0n;
  let choose = 1n;
  for (let k = 0; k <= started; k++) {
    if (k > 0) choose = (choose * BigInt(started - k + 1)) / BigInt(k);
    if (k >= good) sum += choose * BigInt(part) ** BigInt(k) * BigInt(100 - part) ** BigInt(started - k);
  }
  const DIGITS = 10n ** 18n;
  return Number((sum * DIGITS) / 100n ** BigInt(started)) / 1e18;
}

describe('the worked example: 20 good rolls at 95 % each, wanted with 95 %', () => {
  it('starts 23 rolls', () => expect(rollsToStart(20, 0.95, 0.95)).toBe(answer.make));
  it('gives the published chances of 22 and 23', () => {
    expect(chanceOfEnough(20, 22, 0.95)).toBeCloseTo(answer.prob_22, 6);
    expect(chanceOfEnough(20, 23, 0.95)).toBeCloseTo(answer.prob_23, 6);
  });
});

describe('the chance of enough good rolls', () => {
  it.each([
    [1, 1, 95],
    [5, 9, 50],
    [40, 47, 90],
    [300, 320, 95],
    [1000, 1012, 99],
    [2000, 2230, 90],
  ])('of %d good among %d at %d %% is exact to 1e-10', (good, started, part) => {
    expect(
      Math.abs(chanceOfEnough(good, started, part / 100) - exactChance(good, started, part)),
    ).toBeLessThan(1e-10);
  });
  it('is 0 with too few, 1 with nothing wanted or when every roll is good', () => {
    expect(chanceOfEnough(5, 4, 0.9)).toBe(0);
    expect(chanceOfEnough(0, 0, 0.9)).toBe(1);
    expect(chanceOfEnough(5, 5, 1)).toBe(1);
  });
});

describe('rolls to start', () => {
  it.each([
    [10_000, 0.95, 0.95],
    [10_000, 0.5, 0.999],
    [10_000, 0.02, 0.9],
    [1, 0.01, 0.999999],
    [9_999, 0.999, 0.99],
  ])('for %d at %d, wanted %d, are the fewest that do', (good, share, wanted) => {
    const started = rollsToStart(good, share, wanted);
    expect(chanceOfEnough(good, started, share)).toBeGreaterThanOrEqual(wanted);
    expect(chanceOfEnough(good, started - 1, share)).toBeLessThan(wanted);
  });
  it('agree with the normal law for large orders', () => {
    // r q - z sqrt(r q (1 - q)) = n - 1/2, z = 1.6449 for 95 %
    const started = rollsToStart(10_000, 0.95, 0.95);
    const good = started * 0.95 - 1.6449 * Math.sqrt(started * 0.95 * 0.05);
    expect(Math.abs(good - 9_999.5)).toBeLessThan(1);
  });
  it('are as many as ordered when every roll is good', () => expect(rollsToStart(20, 1, 0.95)).toBe(20));
});

describe('an order with a share of good rolls', () => {
  const withShare = (more: object) => {
    const document = cuttingStock([100], [{ width: 20, demand: 20 }]);
    Object.assign(document.orders[0]!, more);
    return parseProblem(document);
  };
  it('is planned with the rolls to start as its least and its most', () => {
    const read = withShare({ goodRollPct: 95, completePct: 95 });
    if (!read.ok) throw new Error(JSON.stringify(read.faults));
    expect(read.problem.orders[0]).toMatchObject({ rolls: 20, minRolls: 23, maxRolls: 23 });
    const plan = planSlitting(read.problem);
    expect(checkPlan(read.problem, plan)).toEqual([]);
    expect(plan.orders[0]).toMatchObject({ ordered: 20, planned: 23, over: 3, short: 0 });
    const fewer = structuredClone(read.problem);
    fewer.orders[0]!.minRolls = 24;
    expect(checkPlan(fewer, plan).map(({ rule }) => rule)).toContain('order-short');
  });
  it('counts an allowed under-run in good rolls and is 95 % sure when nothing else is said', () => {
    const read = withShare({ goodRollPct: 95, underPct: 10, overPct: 50 });
    if (!read.ok) throw new Error(JSON.stringify(read.faults));
    expect(read.problem.orders[0]).toMatchObject({ minRolls: rollsToStart(18, 0.95, 0.95), maxRolls: 30 });
  });
  it.each([
    [{ goodRollPct: 0 }, 'orders[0].goodRollPct'],
    [{ goodRollPct: 101 }, 'orders[0].goodRollPct'],
    [{ goodRollPct: 95, completePct: 100 }, 'orders[0].completePct'],
    [{ completePct: 95 }, 'orders[0].completePct'],
    [{ goodRollPct: 1, rolls: 900_000 }, 'orders[0].goodRollPct'],
  ])('refuses %j', (more, path) => {
    const read = withShare(more);
    expect(read.ok ? [] : read.faults.map((fault) => fault.path)).toContain(path);
  });
});
