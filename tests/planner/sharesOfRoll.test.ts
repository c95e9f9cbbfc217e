// Shares of a roll's width bound a plan only when no set's shares exceed one roll: every set of random widths is listed.
// The bound itself against Martello & Toth's: four strips of 6 beside gaps of 4 that nothing fills take four rolls of 10
// (their threshold at work), and three strips a little over a third take a half each (Fekete & Schepers' k = 2).
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { sharesOfRoll } from '../../src/planner/bounding/sharesOfRoll.ts';

const fullRolls = (shares: number[], wanted: number[]) =>
  shares.reduce((sum, share, k) => sum + share * wanted[k]!, 0);

/** The most that the shares of one set add up to. */
function fullestSet(widths: number[], shares: number[], rest: number, from = 0): number {
  let most = 0;
  for (let k = from; k < widths.length; k++)
    if (widths[k]! <= rest)
      most = Math.max(most, shares[k]! + fullestSet(widths, shares, rest - widths[k]!, k));
  return most;
}

test('strips wider than half a roll take a whole one each, whatever is left beside them', () => {
  const widths = [6, 2];
  expect(fullRolls(sharesOfRoll(widths, [4, 1], 10, Infinity), [4, 1])).toBe(4);
});

test('strips of a little over a third take half a roll each', () => {
  const shares = sharesOfRoll([34], [3], 100, Infinity);
  expect(fullRolls(shares, [3])).toBe(1.5);
});

test('the plain shares are taken where nothing proves more', () => {
  expect(sharesOfRoll([5, 2], [1, 1], 10, Infinity)).toEqual([0.5, 0.2]);
});

test('stops at the first shares that take more rolls than asked for', () => {
  expect(sharesOfRoll([34], [3], 100, 1)).toEqual([0.34]);
});

test('no set of random widths has shares of more than a roll', () => {
  const problem = fc.record({
    widths: fc.uniqueArray(fc.integer({ min: 5, max: 60 }), { minLength: 1, maxLength: 6 }),
    wanted: fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 6, maxLength: 6 }),
    usable: fc.integer({ min: 60, max: 100 }),
  });
  fc.assert(
    fc.property(problem, ({ widths, wanted, usable }) => {
      const shares = sharesOfRoll(widths, wanted.slice(0, widths.length), usable, Infinity);
      expect(fullestSet(widths, shares, usable)).toBeLessThanOrEqual(1 + 1e-9);
    }),
    { numRuns: 300 },
  );
});
