// Buying, coating and cutting as one decision: problems whose optimum can be found by hand, the published case of one
// more stock width as a problem of buying, and the generated one with minimum orders.
import { describe, expect, test } from 'vitest';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from './planned.ts';
import { purchaseBench } from './reference/purchaseBench.ts';

type Offer = NonNullable<ProblemDocument['offers']>[number];

/** A roll of film 1 m long weighs its width in metres, in kg; one set takes the whole of it. */
const plant = { slitters: [{ id: 'S' }], products: [{ id: 'P', coating: { grades: ['G'] } }] };
const film = { thicknessUm: 1000, densityGPerCm3: 1 };
const orderOf = (widthMm: number, rolls: number, more = {}) => {
  return { id: `A${widthMm}`, product: 'P', widthMm, lengthM: 1, rolls, ...more };
};
const offerOf = (id: string, terms: Partial<Offer>): Offer => {
  return { id, supplier: `${id} Ltd`, grade: 'G', rollLengthM: 1, pricePerKg: 10, ...terms };
};
function problemOf(offers: Offer[], orders: ProblemDocument['orders'], more = {}): ProblemDocument {
  const grades = [{ id: 'G', ...film }];
  return { format: 'lanewright-problem/1', ...plant, grades, offers, orders, ...more };
}

describe('what to buy', () => {
  test('is just as many whole rolls as the orders need', () => {
    const plan = planned(problemOf([offerOf('O', { widthMm: 1000 })], [orderOf(300, 7)]));
    // three strips to a roll of 1 kg
    expect(plan.purchases).toEqual([{ offer: 'O', widthMm: 1000, rolls: 3, kg: 3, cost: 30 }]);
    expect(plan.status).toBe('best');
    expect(plan.cost.total).toBeCloseTo(30, 9);
  });

  test('of a range is the width that the strips fill', () => {
    const range = offerOf('O', { widthRangeMm: { min: 500, max: 1000, step: 50 } });
    const plan = planned(problemOf([range], [orderOf(300, 6)]));
    expect(plan.purchases.map(({ widthMm, rolls }) => [widthMm, rolls])).toEqual([[900, 2]]);
    expect(plan.cost.total).toBeCloseTo(18, 9);
    expect(plan.status).toBe('best');
  });

  test('comes second to rolls in stock that cost less', () => {
    const rolls = [{ id: 'R', kind: 'base', item: 'G', widthMm: 1000, lengthM: 1, count: 2, costPerRoll: 4 }];
    const plan = planned(problemOf([offerOf('O', { widthMm: 1000 })], [orderOf(300, 9)], { rolls }));
    expect(plan.purchases.map(({ rolls: n }) => n)).toEqual([1]);
    expect(plan.cost.total).toBeCloseTo(18, 9);
  });

  test('is paid for whole, however little is cut from it', () => {
    const offer = offerOf('O', { widthMm: 1000, rollLengthM: 10 });
    const plan = planned(problemOf([offer], [orderOf(300, 6)]));
    // two sets of 1 m out of a roll of 10 m and 10 kg
    expect(plan.cost.purchases).toBeCloseTo(100, 9);
    expect(plan.cost.material).toBeCloseTo(0, 9);
    expect(plan.status).toBe('best');
    expect(plan.stubs).toEqual([{ roll: 'O#1', widthMm: 1000, lengthM: 8, keep: true }]);
  });
});

describe('a minimum order', () => {
  test('is begun roll by roll: nothing is gained by cutting a little from each', () => {
    const offer = offerOf('O', { widthMm: 1000, rollLengthM: 10, minOrderKg: 80 });
    const plan = planned(problemOf([offer], [orderOf(300, 33), orderOf(450, 2)]));
    expect(plan.purchases.map(({ rolls }) => rolls)).toEqual([8]);
    // at least 12 sets of 1 m: two rolls of 10 m
    const begun = new Set(plan.runs.flatMap((run) => run.from.map(({ roll }) => roll)));
    expect(begun.size).toBe(2);
    expect(plan.cost.total).toBeCloseTo(800, 9);
    expect(plan.status).toBe('best');
  });

  test('is filled up with rolls that nothing is cut from, paid in full', () => {
    const plan = planned(problemOf([offerOf('O', { widthMm: 1000, minOrderKg: 4.5 })], [orderOf(300, 7)]));
    expect(plan.purchases.map(({ rolls }) => rolls)).toEqual([5]);
    expect(plan.cost.total).toBeCloseTo(50, 9);
    expect(plan.status).toBe('best');
  });

  test('too large for the orders makes the dearer offer the cheaper one', () => {
    const offers = [
      offerOf('cheap', { widthMm: 1000, minOrderKg: 8 }),
      offerOf('dear', { widthMm: 1000, pricePerKg: 12 }),
    ];
    const few = planned(problemOf(offers, [orderOf(300, 9)]));
    expect(few.purchases.map(({ offer, rolls }) => [offer, rolls])).toEqual([['dear', 3]]);
    const many = planned(problemOf(offers, [orderOf(300, 22)]));
    expect(many.purchases.map(({ offer, rolls }) => [offer, rolls])).toEqual([['cheap', 8]]);
    expect([few.status, many.status]).toEqual(['best', 'best']);
  });

  test('holds for all widths of an offer together', () => {
    const range = { min: 400, max: 600, step: 200 };
    const offer = offerOf('O', { widthRangeMm: range, minOrderKg: 2.2 });
    const plan = planned(problemOf([offer], [orderOf(600, 3), orderOf(400, 1)]));
    // 3 x 0.6 + 0.4 kg
    expect(plan.purchases.map(({ widthMm, rolls }) => [widthMm, rolls])).toEqual([
      [600, 3],
      [400, 1],
    ]);
    expect(plan.cost.total).toBeCloseTo(22, 9);
    expect(plan.runs.flatMap((run) => run.from.map(({ roll }) => roll)).sort()).toEqual([
      'O#1',
      'O#2',
      'O#3',
      'O#4',
    ]);
  });
});

describe('time', () => {
  test('late is better than never: the order waits for film, and the plan says so', () => {
    const offer = offerOf('O', { widthMm: 1000, leadTimeDays: 30 });
    const due = problemOf([offer], [orderOf(300, 3, { dueOn: '2027-03-08' })], { planOn: '2027-03-01' });
    const plan = planned({ ...due, costs: { perLateRollDay: 0.5 } });
    expect(plan.purchases).toMatchObject([{ orderBy: '2027-03-01', arrivesOn: '2027-03-31' }]);
    expect(plan.orders).toMatchObject([{ short: 0, lateDays: 23, readyOn: '2027-03-31' }]);
    expect(plan.orders[0]?.reasons.at(-1)).toBe(
      'it waits for film G from O Ltd, ordered on 2027-03-01, arriving on 2027-03-31',
    );
  });
});

describe('published and generated problems', () => {
  test('roll-110: one more width between 80 and 135 by 5 is 115, and 4885 mm are used in all', () => {
    // The demands of the worked example roll-110 (see tests/cases), priced per mm of width.
    const widths: [number, number][] = [
      [20, 48],
      [45, 35],
      [50, 24],
      [55, 10],
      [75, 8],
    ];
    const range = { min: 80, max: 135, step: 5 };
    const one = (widthMm: number) => offerOf(`O${widthMm}`, { widthMm, pricePerKg: 1000 });
    const orders = widths.map(([widthMm, rolls]) => orderOf(widthMm, rolls));
    const totals = new Map<number, number>();
    for (let widthMm = range.min; widthMm <= range.max; widthMm += range.step) {
      const plan = planned(problemOf(widthMm === 110 ? [one(110)] : [one(110), one(widthMm)], orders), 20);
      totals.set(widthMm, plan.cost.total);
    }
    expect(Math.min(...totals.values())).toBeCloseTo(4885, 6);
    expect(totals.get(115)).toBeCloseTo(4885, 6);
    const any = planned(
      problemOf([one(110), offerOf('any', { widthRangeMm: range, pricePerKg: 1000 })], orders),
      20,
    );
    expect(any.cost.total).toBeCloseTo(4885, 6);
    expect(any.status).toBe('best');
  }, 240_000);

  test('40 widths, three stocks and five offers with minimum orders: within 0.3 % of the bound', () => {
    const plan = planned(purchaseBench(42), 30);
    expect(plan.bound.gapPct).toBeLessThan(0.3);
    expect(plan.status).not.toBe('short');
  }, 120_000);
});
