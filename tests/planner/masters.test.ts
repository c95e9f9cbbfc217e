// Linear programs as masters are, columns added between solves: the same objective as HiGHS, and duals of equal worth.
import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';
import { openHighsLp } from '../../src/planner/solvers/highs.ts';
import { openLp } from '../../src/planner/solvers/lp.ts';

type Entry = [row: number, value: number];
interface Row {
  sense: '>=' | '<=';
  rhs: number;
}
const range = (n: number) => Array.from({ length: n }, (_, k) => k);

/** Rows as in a master: demands, of equal numbers as in bin packing when degenerate, and some caps. */
function randomMaster(seed: number) {
  const random = seededRandom(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const degenerate = random() < 0.5;
  const m = whole(1, 40);
  const rows = range(m).map((): Row => {
    const isCap = random() < 0.2;
    return isCap ? { sense: '<=', rhs: whole(0, 9) } : { sense: '>=', rhs: degenerate ? 1 : whole(0, 30) };
  });
  const shorts = rows.flatMap(({ sense }, i) => (sense === '>=' ? [{ cost: 50, entries: [[i, 1]] }] : []));
  const column = () => {
    const used = range(m).filter(() => random() < 4 / m);
    const cost = degenerate ? 1 : whole(1, 20);
    return { cost, entries: used.map((i): Entry => [i, whole(1, 5)]) };
  };
  return {
    rows,
    batches: [[...shorts, ...range(m).map(column)], range(m).map(column), range(9).map(column)],
  };
}

describe('random masters', () => {
  test.each(range(80))('case %d: the same objective as HiGHS after every batch of columns', (seed) => {
    const { rows, batches } = randomMaster(seed);
    const lp = openLp(rows);
    const highs = openHighsLp(rows);
    const costs: number[] = [];
    for (const batch of batches) {
      for (const { cost, entries } of batch) {
        costs.push(cost);
        lp.addColumn(cost, entries as Entry[]);
        highs.addColumn(cost, entries as Entry[]);
      }
      const { objective, y } = lp.solve();
      const expected = highs.solve().x.reduce((sum, value, j) => sum + value * costs[j]!, 0);
      expect(objective).toBeCloseTo(expected, 5);
      expect(rows.reduce((sum, { rhs }, i) => sum + rhs * y[i]!, 0)).toBeCloseTo(expected, 5);
    }
    highs.dispose();
    lp.dispose();
  });
});

describe('without a basis to begin with', () => {
  const rows: Row[] = [
    { sense: '>=', rhs: 3 },
    { sense: '<=', rhs: 2 },
  ];
  test('it is solved all the same', () => {
    const lp = openLp(rows);
    lp.addColumn(2, [
      [0, 2],
      [1, 1],
    ]);
    expect(lp.solve().objective).toBeCloseTo(3);
    lp.dispose();
  });
  test('a program that cannot be solved is refused', () => {
    const lp = openLp(rows);
    lp.addColumn(2, [
      [0, 1],
      [1, 1],
    ]);
    expect(() => lp.solve()).toThrow('without a certificate');
    lp.dispose();
  });
});
