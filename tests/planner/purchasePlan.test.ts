// What to buy of a grade: small cases by hand, and random ones against trying every combination of orders.
import { describe, expect, it } from 'vitest';
import { cutBound } from '../../src/planner/cutBound.ts';
import { allowedRolls, type BuyingOffer, type NeedOnDay } from '../../src/planner/purchaseColumns.ts';
import { planPurchases } from '../../src/planner/purchasePlan.ts';

const offer = (more: Partial<BuyingOffer> = {}): BuyingOffer => ({
  code: 'A',
  rollKg: 100,
  rollM2: 1000,
  pricePerKg: 3,
  breakFromKg: undefined,
  breakPricePerKg: undefined,
  minOrderKg: 0,
  multipleKg: undefined,
  multipleRolls: undefined,
  earliestDay: 0,
  ...more,
});
const COSTS = { perOrder: 100, holdingShare: 0.25, latePerM2Day: 0.05 };
const need = (day: number, areaM2: number): NeedOnDay => ({ day, areaM2 });

describe('how many rolls an offer allows', () => {
  it('are whole, at least the least order, in multiples of rolls or in full containers', () => {
    expect(allowedRolls(offer(), 2.1)).toBe(3);
    expect(allowedRolls(offer({ minOrderKg: 450 }), 1)).toBe(5);
    expect(allowedRolls(offer({ multipleRolls: 4 }), 5)).toBe(8);
    expect(allowedRolls(offer({ multipleKg: 250 }), 1)).toBe(2);
    expect(allowedRolls(offer({ multipleKg: 250 }), 3)).toBe(5);
    expect(allowedRolls(offer({ multipleKg: 60 }), 3)).toBe(3);
  });
});

describe('what to buy', () => {
  it('is nothing when nothing is needed, or nobody sells it', () => {
    expect(planPurchases([], [offer()], COSTS)).toBeUndefined();
    expect(planPurchases([need(10, 5)], [], COSTS)).toBeUndefined();
  });
  it('is whole rolls, in time, at the price of the offer', () => {
    const plan = planPurchases([need(30, 2500)], [offer({ earliestDay: 14 })], COSTS);
    expect(plan?.lines).toEqual([
      { offer: 'A', arrivesDay: 30, rolls: 3, kg: 300, pricePerKg: 3, cost: 900 },
    ]);
    expect(plan).toMatchObject({ film: 900, ordering: 100, late: 0, proved: true });
    expect(plan?.total).toBeCloseTo(plan?.bound as number, 6);
  });
  it('is more than is needed where the lower price makes that cheaper', () => {
    const cheaper = offer({ breakFromKg: 400, breakPricePerKg: 2 });
    expect(planPurchases([need(30, 3000)], [cheaper], COSTS)?.lines[0]).toMatchObject({
      rolls: 4,
      cost: 800,
    });
  });
  it('is one order when orders are dear, and several when stock is', () => {
    const needs = [need(10, 1000), need(100, 1000), need(190, 1000)];
    expect(planPurchases(needs, [offer()], { ...COSTS, perOrder: 500 })?.lines).toHaveLength(1);
    expect(planPurchases(needs, [offer()], { ...COSTS, perOrder: 1 })?.lines).toHaveLength(3);
  });
  it('takes the quicker offer for what is urgent, and the cheaper for the rest', () => {
    const slow = offer({ code: 'slow', earliestDay: 60, pricePerKg: 2 });
    const quick = offer({ code: 'quick', earliestDay: 7, pricePerKg: 3 });
    const plan = planPurchases([need(10, 1000), need(80, 5000)], [slow, quick], COSTS);
    expect(plan?.lines.map((line) => [line.offer, line.rolls])).toEqual([
      ['quick', 1],
      ['slow', 5],
    ]);
  });
  it('buys late what no offer can bring in time, and says what being late costs', () => {
    const plan = planPurchases([need(5, 1000)], [offer({ earliestDay: 15 })], COSTS);
    expect(plan?.lines[0]).toMatchObject({ arrivesDay: 15, rolls: 1 });
    expect(plan?.late).toBeCloseTo(1000 * 0.05 * 10, 6);
  });
  it('is as cheap as the best of all combinations of orders', () => {
    let seed = 11;
    const random = (most: number): number => {
      seed = (seed * 48271) % 2147483647;
      return seed % most;
    };
    for (let trial = 0; trial < 40; trial += 1) {
      const needs = Array.from({ length: 2 + random(2) }, (_, i) => need(20 + 30 * i, 200 + random(2500)));
      const offers = ['A', 'B'].map((code) =>
        offer({
          code,
          pricePerKg: 2 + random(20) / 10,
          minOrderKg: random(3) * 100,
          breakFromKg: 300 + random(3) * 100,
          breakPricePerKg: 1.5 + random(5) / 10,
        }),
      );
      const plan = planPurchases(needs, offers, COSTS);
      expect(plan?.proved).toBe(true);
      expect(plan?.total).toBeCloseTo(cheapest(needs, offers), 4);
    }
  });
});

/** Every way to order 0 to 8 rolls of each offer on each day of need (or on the first day, 0), without lateness. */
function cheapest(needs: NeedOnDay[], offers: BuyingOffer[]): number {
  const days = needs.map(({ day }) => day);
  const end = days.at(-1) as number;
  let best = Number.POSITIVE_INFINITY;
  const tryFrom = (d: number, arrived: number, needed: number, cost: number): void => {
    if (cost >= best) return;
    if (d === days.length) {
      best = cost;
      return;
    }
    const day = days[d] as number;
    const now = needed + (needs[d] as NeedOnDay).areaM2;
    const buy = (o: number, m2: number, paid: number): void => {
      if (o === offers.length) {
        if (m2 >= now - 1e-9) tryFrom(d + 1, m2, now, paid);
        return;
      }
      const one = offers[o] as BuyingOffer;
      for (let rolls = 0; rolls <= 10; rolls += 1) {
        if (rolls > 0 && rolls * one.rollKg < one.minOrderKg) continue;
        const kg = rolls * one.rollKg;
        const price = kg >= (one.breakFromKg as number) ? (one.breakPricePerKg as number) : one.pricePerKg;
        const held = (kg * price * COSTS.holdingShare * (end - day)) / 365;
        buy(o + 1, m2 + rolls * one.rollM2, paid + (rolls > 0 ? kg * price + COSTS.perOrder + held : 0));
      }
    };
    buy(0, arrived, cost);
  };
  tryFrom(0, 0, 0, 0);
  return best;
}

describe('how much web a demand takes', () => {
  const web = (widthUm: number, edgesUm = 0) => ({ widthUm, edgesUm, costPerM: widthUm / 1e6 });
  it('is none for strips that fill it without rest', () => {
    const bound = cutBound([web(1000_000)], [{ widthUm: 250_000, metres: 4000 }]);
    expect(bound?.metres[0]).toBeCloseTo(1000, 6);
  });
  it('mixes widths where that wastes less: 3 of 300 and 1 of 100 in 1000', () => {
    const strips = [
      { widthUm: 300_000, metres: 3000 },
      { widthUm: 100_000, metres: 1000 },
    ];
    expect(cutBound([web(1000_000)], strips)?.metres[0]).toBeCloseTo(1000, 6);
    expect(cutBound([web(1020_000, 20_000)], strips)?.metres[0]).toBeCloseTo(1000, 6);
  });
  it('heeds the most strips of a set', () => {
    expect(cutBound([web(1000_000)], [{ widthUm: 100_000, metres: 1000 }], 5)?.metres[0]).toBeCloseTo(200, 6);
  });
  it('takes the better of two webs for each strip', () => {
    const strips = [
      { widthUm: 300_000, metres: 900 },
      { widthUm: 500_000, metres: 500 },
    ];
    const both = cutBound([web(900_000), web(1000_000)], strips);
    expect(both?.metres[0]).toBeCloseTo(300, 6);
    expect(both?.metres[1]).toBeCloseTo(250, 6);
  });
  it('is unknown when a strip is wider than every web', () => {
    expect(cutBound([web(400_000)], [{ widthUm: 500_000, metres: 1 }])).toBeUndefined();
  });
});
