// The door to HiGHS where HiGHS itself gives up: a packing of rolls met on a random problem, which the solver ends with an
// error when it begins from its usual seed. Seven slots of one site are wanted; a whole roll gives four and costs 196.672,
// a roll in part gives no more of them for less, since what is left of it is lost and paid for.
import { describe, expect, it } from 'vitest';
import { type MipModel, solveMip } from '../../src/planner/solvers/highs.ts';

const so = <Value>(many: number, value: Value): Value[] => Array<Value>(many).fill(value);

const PACKING: MipModel = {
  rowLower: [-Infinity, 7, 0, 0, 0, ...so(12, -Infinity)],
  rowUpper: [6, ...so(4, Infinity), ...so(12, 0)],
  cost: [
    47802.87111111111, 196.672, 196.672, 218.99, 218.99, 9.856, 0, 1, 44.8, 12.544, 0, 1, 44.8, 13.42, 0, 1,
    61, 17.08, 0, 1, 61,
  ],
  upper: [...so(5, Infinity), ...[4, 4, 3, 3].flatMap((most) => [1, 1, Infinity, most])],
  columns: [
    [[1, 1]],
    [
      [0, 1],
      [1, 4],
    ],
    [
      [0, 1],
      [2, 4],
    ],
    [[3, 3]],
    [[4, 3]],
    [
      [0, 1],
      [5, -417],
      [6, 186.816],
      [7, -1],
    ],
    [
      [5, 122],
      [6, -196.672],
      [7, 1],
    ],
    [[6, -1]],
    [
      [1, 1],
      [5, 100],
      [6, -44.8],
    ],
    [
      [0, 1],
      [8, -411],
      [9, 184.128],
      [10, -1],
    ],
    [
      [8, 128],
      [9, -196.672],
      [10, 1],
    ],
    [[9, -1]],
    [
      [2, 1],
      [8, 100],
      [9, -44.8],
    ],
    [
      [11, -337],
      [12, 205.57],
      [13, -1],
    ],
    [
      [11, 122],
      [12, -218.98999999999998],
      [13, 1],
    ],
    [[12, -1]],
    [
      [3, 1],
      [11, 100],
      [12, -61],
    ],
    [
      [14, -331],
      [15, 201.91],
      [16, -1],
    ],
    [
      [14, 128],
      [15, -218.98999999999998],
      [16, 1],
    ],
    [[15, -1]],
    [
      [4, 1],
      [14, 100],
      [15, -61],
    ],
  ],
  whole: [...so(5, true), ...so(4, [true, true, false, true]).flat()],
};

describe('an integer program on which HiGHS gives up', () => {
  it('is solved another way', () => {
    const { x, cost, bound, ended } = solveMip(PACKING, { seconds: 60, nodes: 500, absoluteGap: 0.344176 });
    expect(ended).toBe(true);
    expect(x).toBeDefined();
    expect(cost).toBeCloseTo(2 * 196.672, 6);
    expect(bound).toBeLessThanOrEqual(cost + 1e-6);
  });
});
