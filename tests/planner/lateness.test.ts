// Lateness that follows from the film alone is weighed where film is chosen: what is in stock and in time goes before
// what is cheaper and late, the bound knows it, and orders of one width are told apart by their due days.
import { describe, expect, test } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { shortPricePerM2 } from '../../src/domain/shortPrice.ts';
import { planned } from './planned.ts';
import { seeded } from './reference/randomProblem.ts';
import { randomPurchases } from './reference/randomPurchases.ts';

type Order = ProblemDocument['orders'][number];

/** Rolls of 1 m: one set takes the whole of it. Stock costs 12, film on offer 10 and is there after 30 days. */
function problemOf(orders: Partial<Order>[], more: Partial<ProblemDocument> = {}): ProblemDocument {
  return {
    format: 'lanewright-problem/1',
    planOn: '2027-03-01',
    slitters: [{ id: 'S' }],
    products: [{ id: 'P', coating: { grades: ['G'] } }],
    grades: [{ id: 'G', thicknessUm: 1000, densityGPerCm3: 1 }],
    rolls: [{ id: 'R', widthMm: 1000, lengthM: 1, count: 5, costPerRoll: 12 }],
    offers: [{ id: 'O', grade: 'G', widthMm: 1000, rollLengthM: 1, pricePerKg: 10, leadTimeDays: 30 }],
    orders: orders.map((order, k) => ({
      ...{ id: `A${k}`, product: 'P', widthMm: 500, lengthM: 1, rolls: 4, ...order },
    })),
    ...more,
  };
}
const bought = ({ purchases }: { purchases: { rolls: number }[] }) =>
  purchases.reduce((sum, { rolls }) => sum + rolls, 0);

describe('film in time and film that is late', () => {
  test('stock in time goes before cheaper film that comes after the due day', () => {
    const plan = planned(problemOf([{ dueOn: '2027-03-10' }], { costs: { perLateRollDay: 1 } }));
    expect([bought(plan), plan.cost.total, plan.status]).toEqual([0, 24, 'best']);
  });

  test('where lateness costs nothing the cheaper film is bought', () => {
    const plan = planned(problemOf([{ dueOn: '2027-03-10' }], { costs: { perLateRollDay: 0 } }));
    expect([bought(plan), plan.cost.total]).toEqual([2, 20]);
  });

  test('with dates lateness costs something, though the problem names no price', () => {
    const parsed = parseProblem(problemOf([{ dueOn: '2027-03-10' }]));
    // 5 rolls at 12 and one at 10 are 70 for 6 m2; an ordered roll has 0.5 m2; a twentieth of its film
    expect(parsed.ok && parsed.problem.costs.perLateRollDay).toBeCloseTo(((70 / 6) * 0.5) / 20, 9);
    expect(bought(planned(problemOf([{ dueOn: '2027-03-10' }])))).toBe(0);
    const undated = parseProblem(problemOf([{}]));
    expect(undated.ok && undated.problem.costs.perLateRollDay).toBe(0);
  });

  test('of one width the early order is cut from stock and the late one from what arrives in between', () => {
    const orders = [{ dueOn: '2027-03-10' }, { dueOn: '2027-04-20' }];
    const plan = planned(problemOf(orders, { costs: { perLateRollDay: 1 } }));
    expect(plan.purchases).toMatchObject([{ rolls: 2 }]);
    expect(plan.orders.map(({ lateDays }) => lateDays)).toEqual([0, 0]);
    expect([plan.cost.total, plan.status]).toEqual([44, 'best']);
  });

  test('what cannot be in time is counted in the bound, so that such a plan can be proved', () => {
    const plan = planned(problemOf([{ dueOn: '2027-03-10' }], { rolls: [], costs: { perLateRollDay: 1 } }));
    // four rolls, 21 days late
    expect([plan.cost.late, plan.cost.total, plan.status]).toEqual([84, 104, 'best']);
  });

  test('a coated roll goes before base film whose coating takes too long', () => {
    const size = { widthMm: 1000, lengthM: 1, count: 5 };
    const rolls = [
      { id: 'C', ...size, costPerRoll: 12 },
      { id: 'B', kind: 'base' as const, item: 'G', ...size, costPerRoll: 11 },
    ];
    const products = [{ id: 'P', coating: { grades: ['G'], leadDays: 8 } }];
    const due = (dueOn: string) =>
      planned(problemOf([{ dueOn }], { rolls, products, offers: [], costs: { perLateRollDay: 1 } }));
    expect([due('2027-03-08').cost.total, due('2027-03-09').cost.total]).toEqual([24, 22]);
    expect(due('2027-03-08').coating).toEqual([]);
  });

  test('a slitter that is closed on the day makes later what cannot be earlier', () => {
    const slitters = [{ id: 'S', calendar: { minutesPerDay: 480, closedOn: ['2027-03-01', '2027-03-02'] } }];
    const plan = planned(problemOf([{ dueOn: '2027-03-01' }], { slitters, costs: { perLateRollDay: 0.1 } }));
    expect(plan.cost.late).toBeCloseTo(4 * 0.1 * 2, 9);
    expect(plan.status).toBe('best');
  });
});

describe('the bound', () => {
  const blocks = Array.from({ length: process.env.LANEWRIGHT_MANY ? 6 : 3 }, (_, block) => 1 + 10 * block);
  test.each(blocks)(
    'holds for every plan made with less film to choose from (seeds from %d on)',
    (first) => {
      for (let seed = first; seed < first + 10; seed++) {
        const problem = dated(seed);
        const { bound, cost } = planned(problem, 2);
        const slack = 1e-6 * Math.max(1, cost.total);
        const perShortM2 = priceOfShort(problem);
        const fixed = { ...problem, costs: { ...problem.costs, perShortM2 } };
        for (const less of withLess(fixed))
          expect(planned(less, 2).cost.total, `seed ${seed}`).toBeGreaterThan(bound.cost - slack);
      }
    },
    300_000,
  );
});

/** A random problem of buying with due days before, between and after the days on which film is there. */
function dated(seed: number): ProblemDocument {
  const random = seeded(seed + 77);
  const day = (n: number) => new Date(Date.UTC(2027, 2, 1 + n)).toISOString().slice(0, 10);
  const problem = randomPurchases(seed);
  const slitters = problem.slitters.map((slitter) => ({
    ...slitter,
    ...(random() < 0.4 ? { minutesPerSetup: 20, costPerHour: 30 } : {}),
    ...(random() < 0.3 ? { calendar: { minutesPerDay: 480, closedOn: [day(0), day(6)] } } : {}),
  }));
  // the default cost of a roll depends on the offers, which are to be left out
  const rolls = problem.rolls?.map((roll) => ({
    ...{ costPerRoll: 4, ...roll },
    readyOn: day(Math.floor(20 * random())),
  }));
  const orders = problem.orders.map((order) => ({ ...order, dueOn: day(Math.floor(100 * random()) - 5) }));
  const twice = orders.map((order) => ({
    ...order,
    ...{ id: `${order.id}b`, dueOn: day(Math.floor(100 * random())) },
  }));
  const costs = { ...problem.costs, perLateRollDay: Math.round(100 * random()) / 100 };
  return {
    ...problem,
    planOn: '2027-03-01',
    slitters,
    rolls,
    orders: [...orders, ...twice.slice(0, 1)],
    costs,
  };
}

/** The default depends on all film there is; the parts of the problem are to be judged alike. */
function priceOfShort(problem: ProblemDocument): number {
  const parsed = parseProblem(problem);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  return shortPricePerM2(parsed.problem);
}

function withLess(problem: ProblemDocument): ProblemDocument[] {
  const offers = problem.offers ?? [];
  return [
    { ...problem, rolls: [] },
    ...offers.map((_, without) => ({ ...problem, offers: offers.filter((__, k) => k !== without) })),
  ];
}
