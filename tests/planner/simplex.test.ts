// Our own simplex against HiGHS on random masters, columns added between solves: both objectives, and the certificate
// that lp.ts asks for.
import { describe, expect, test } from 'vitest';
import { openHighsLp } from '../../src/planner/highs.ts';
import { openLp } from '../../src/planner/lp.ts';
import { seededRandom } from '../../src/planner/seededRandom.ts';
import { openSimplex } from '../../src/planner/simplex.ts';
import { addSparse, noColumns } from '../../src/planner/sparseColumns.ts';

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
    const columns = noColumns();
    const own = openSimplex(rows, columns);
    const highs = openHighsLp(rows);
    for (const batch of batches) {
      for (const { cost, entries } of batch) {
        addSparse(columns, cost, entries as Entry[]);
        highs.addColumn(cost, entries as Entry[]);
      }
      const found = own.solve();
      const objective = (x: ArrayLike<number>) =>
        Array.from(x).reduce((sum, value, j) => sum + value * columns.cost[j]!, 0);
      const dual = rows.reduce((sum, { rhs }, i) => sum + rhs * found!.y[i]!, 0);
      const expected = objective(highs.solve().x);
      expect(objective(found!.x)).toBeCloseTo(expected, 5);
      expect(dual).toBeCloseTo(expected, 5);
    }
    expect(own.refresh()).toBe(true);
    highs.dispose();
  });
});

describe('without a basis to begin with', () => {
  const rows: Row[] = [
    { sense: '>=', rhs: 3 },
    { sense: '<=', rhs: 2 },
  ];
  test('the simplex says so, and the linear program is solved by others', () => {
    const columns = noColumns();
    addSparse(columns, 2, [
      [0, 2],
      [1, 1],
    ]);
    expect(openSimplex(rows, columns).solve()).toBeUndefined();
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
