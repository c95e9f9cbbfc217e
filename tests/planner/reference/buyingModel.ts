// The purchase of film as an integer program of another kind than the planner's: every whole order that an offer allows is a
// column of its own (offer, day, so many rolls, at the price of just that many), days are taken as they are. And small random
// cases of it, from seeds: several grades, price breaks, least orders, multiples, least values and containers.
import type { BuyingOffer, BuyingTask, SupplierTerms } from '../../../src/planner/purchase/purchaseTask.ts';
import { type Column, OPTIMAL, solveMip } from './highsMip.ts';
import { seeded } from './randomProblem.ts';

/** The least that any way to buy costs. */
export function leastBuyingCost(task: BuyingTask): number {
  const days = [
    ...new Set([
      ...task.grades.flatMap(({ needs }) => needs.map(({ day }) => day)),
      ...task.offers.map(({ earliestDay }) => earliestDay),
    ]),
  ].sort((a, b) => a - b);
  const end = Math.max(...task.grades.flatMap(({ needs }) => needs.map(({ day }) => day)));
  const rows: { lower: number; upper: number }[] = [];
  const columns: Column[] = [];
  const row = (lower: number, upper: number): number => rows.push({ lower, upper }) - 1;
  const column = (cost: number, upper: number, whole: boolean, entries: [number, number][] = []): Column => {
    const made = { cost, upper, whole, entries };
    columns.push(made);
    return made;
  };

  const needed = new Map<string, number[]>();
  const cover = new Map<string, number[]>();
  for (const { grade, needs, latePerM2Day } of task.grades) {
    needed.set(
      grade,
      days.map((day) => needs.reduce((m2, one) => (one.day <= day ? m2 + one.areaM2 : m2), 0)),
    );
    cover.set(
      grade,
      days.map((day, d) => {
        const covered = row(needed.get(grade)?.[d] as number, Infinity);
        const next = days[d + 1];
        if (next !== undefined) column(latePerM2Day * (next - day), Infinity, false, [[covered, 1]]);
        return covered;
      }),
    );
  }
  for (const supplier of new Set(task.offers.map((offer) => offer.supplier)))
    for (const [d, day] of days.entries()) {
      const terms = task.terms.find((one) => one.supplier === supplier);
      const placed = column(task.costs.perOrder, 1, true);
      const values: [Column, number][] = [];
      const masses: [Column, number][] = [];
      const counts: [Column, number][] = [];
      for (const offer of task.offers.filter((one) => one.supplier === supplier && one.earliestDay <= day)) {
        const once = row(0, Infinity);
        placed.entries.push([once, 1]);
        for (const rolls of rollsAllowed(offer, Math.max(0, ...(needed.get(offer.grade) ?? [])), terms)) {
          const kg = rolls * offer.rollKg;
          const lower = offer.breakFromKg !== undefined && kg >= offer.breakFromKg - 1e-9;
          const paid = kg * (lower ? (offer.breakPricePerKg as number) : offer.pricePerKg);
          const held = (paid * task.costs.holdingShare * Math.max(0, end - day)) / 365;
          const entries: [number, number][] = (cover.get(offer.grade) as number[])
            .slice(d)
            .map((covered) => [covered, rolls * offer.rollM2]);
          const taken = column(paid + held, 1, true, [...entries, [once, -1]]);
          values.push([taken, paid]);
          masses.push([taken, kg]);
          counts.push([taken, rolls]);
        }
      }
      if (terms?.minOrderValue !== undefined) {
        const enough = row(0, Infinity);
        placed.entries.push([enough, -terms.minOrderValue]);
        for (const [taken, paid] of values) taken.entries.push([enough, paid]);
      }
      const containers = column(terms?.containerCost ?? 0, Infinity, true);
      for (const [room, loads] of [
        [terms?.containerKg, masses],
        [terms?.containerRolls, counts],
      ] as const) {
        if (room === undefined) continue;
        const fits = row(0, Infinity);
        containers.entries.push([fits, room]);
        for (const [taken, load] of loads) taken.entries.push([fits, -load]);
      }
    }
  const answer = solveMip(rows, columns, { seconds: 60 });
  if (answer.status !== OPTIMAL) throw new Error(`no proven optimum: status ${answer.status}`);
  return answer.cost;
}

/** Every number of rolls that the offer allows, up to what could be of use. */
function rollsAllowed(offer: BuyingOffer, neededM2: number, terms: SupplierTerms | undefined): number[] {
  const cheapest = offer.rollKg * (offer.breakPricePerKg ?? offer.pricePerKg);
  const most =
    Math.max(
      neededM2 / offer.rollM2,
      offer.minOrderKg / offer.rollKg,
      (offer.breakFromKg ?? 0) / offer.rollKg,
      (terms?.minOrderValue ?? 0) / cheapest,
    ) +
    2 * offer.groupRolls;
  const allowed: number[] = [];
  for (let rolls = offer.groupRolls; rolls <= most; rolls += offer.groupRolls)
    if (rolls * offer.rollKg >= offer.minOrderKg - 1e-9) allowed.push(rolls);
  return allowed;
}

/** Two or three grades of two suppliers who sell some of them both; every kind of term comes up. */
export function randomBuying(seed: number): BuyingTask {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const maybe = <Value>(chance: number, value: () => Value) => (random() < chance ? value() : undefined);
  const names = ['G1', 'G2', 'G3'].slice(0, whole(2, 3));
  const suppliers = ['S1', 'S2'];
  // a price in another currency is a price at its rate
  const rate = { S1: 1, S2: whole(80, 120) / 100 };
  const offers = names.flatMap((grade) =>
    suppliers
      .filter((_, i) => i === 0 || random() < 0.6)
      .map((supplier): BuyingOffer => {
        const price = rate[supplier as 'S1'] * (2 + whole(0, 15) / 10);
        const cheaper = random() < 0.5;
        return {
          code: `${supplier}-${grade}`,
          supplier,
          grade,
          widthUm: 1_000_000,
          rollKg: whole(80, 140),
          rollM2: whole(800, 1300),
          pricePerKg: price,
          breakFromKg: cheaper ? whole(3, 6) * 100 : undefined,
          breakPricePerKg: cheaper ? price * 0.85 : undefined,
          minOrderKg: maybe(0.4, () => whole(1, 4) * 100) ?? 0,
          groupRolls: maybe(0.3, () => whole(2, 3)) ?? 1,
          earliestDay: whole(0, 3) * 7,
        };
      }),
  );
  return {
    offers,
    grades: names.map((grade) => ({
      grade,
      // some film is on the way, and later so much less is missing
      needs: Array.from({ length: whole(1, 3) }, (_, i) => ({
        day: whole(0, 6) * 14,
        areaM2: i > 0 && random() < 0.3 ? -whole(100, 900) : whole(200, 2500),
      })),
      latePerM2Day: whole(1, 8) / 100,
    })),
    terms: suppliers.map((supplier) => ({
      supplier,
      minOrderValue: maybe(0.5, () => whole(5, 25) * 100),
      containerKg: maybe(0.5, () => whole(4, 12) * 100),
      containerRolls: maybe(0.3, () => whole(4, 9)),
      containerCost: whole(0, 6) * 50,
    })),
    costs: { perOrder: whole(0, 300), holdingShare: whole(0, 40) / 100 },
  };
}
