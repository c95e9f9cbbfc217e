// The order of strips on the web against every order there is, and what must hold for each placing.
import { describe, expect, test } from 'vitest';
import { bestOrder, type StripKind } from '../../src/planner/layingOut/knifeOrder.ts';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';

const range = (n: number) => Array.from({ length: n }, (_, k) => k);

/** Every different order of these strips. */
function everyOrder(kinds: StripKind[], left = kinds.map(({ n }) => n)): number[][] {
  if (left.every((n) => n === 0)) return [[]];
  return kinds.flatMap((_, k) => {
    if (left[k] === 0) return [];
    const rest = left.map((n, other) => (other === k ? n - 1 : n));
    return everyOrder(kinds, rest).map((order) => [k, ...order]);
  });
}

function worthOf(kinds: StripKind[], order: number[], fromUm: number, worth: (at: number) => number): number {
  let at = fromUm;
  let sum = 0;
  for (const k of order) {
    at += kinds[k]!.widthUm;
    sum += worth(at);
  }
  return sum;
}

function randomCase(seed: number) {
  const random = seededRandom(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const kinds = range(whole(1, 3)).map((k) => ({ widthUm: 10 * whole(1, 6) + k, n: whole(1, 3) }));
  const fromUm = whole(0, 5);
  const length = kinds.reduce((sum, { widthUm, n }) => sum + widthUm * n, 0);
  const wanted = new Map(range(8).map(() => [fromUm + whole(1, length), whole(1, 3)]));
  for (const strip of kinds) wanted.set(fromUm + strip.widthUm, whole(0, 2));
  return { kinds, fromUm, worth: (at: number) => wanted.get(at) ?? 0 };
}

describe('the best order of strips', () => {
  test.each(range(200))('case %d: no other order has its knives worth more', (seed) => {
    const { kinds, fromUm, worth } = randomCase(seed);
    const found = bestOrder(kinds, fromUm, worth);
    const best = Math.max(...everyOrder(kinds).map((order) => worthOf(kinds, order, fromUm, worth)));
    expect(found.worth).toBe(best);
    expect(worthOf(kinds, found.order, fromUm, worth)).toBe(best);
    kinds.forEach(({ n }, k) => {
      expect(found.order.filter((other) => other === k)).toHaveLength(n);
    });
  });

  test('equal widths stay together where no knife is wanted', () => {
    const kinds = [
      { widthUm: 50, n: 3 },
      { widthUm: 20, n: 4 },
      { widthUm: 90, n: 2 },
    ];
    expect(bestOrder(kinds, 0, () => 0).order).toEqual([0, 0, 0, 1, 1, 1, 1, 2, 2]);
  });

  test('a wanted knife parts equal widths', () => {
    const kinds = [
      { widthUm: 50, n: 2 },
      { widthUm: 20, n: 1 },
    ];
    const { order, worth } = bestOrder(kinds, 0, (at) => (at === 70 ? 1 : 0));
    expect(worth).toBe(1);
    expect(order.slice(0, 2).toSorted()).toEqual([0, 1]);
  });

  test('more orders than can be looked through leave the strips as given', () => {
    const kinds = range(9).map((k) => ({ widthUm: 10 + k, n: 4 }));
    const { order } = bestOrder(kinds, 0, () => 1);
    expect(order).toEqual(kinds.flatMap(({ n }, k) => new Array<number>(n).fill(k)));
  });
});
