// Small random problems about settings of the knives, on a grid of 50 mm, each roll one set: a price or a limit or both,
// several products, widths of web and slitters, fillers, bad lanes, and limits on strips that make sharing hard.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seeded } from './randomProblem.ts';

export const UNIT_UM = 50_000;
const UNIT_MM = UNIT_UM / 1000;

/** One problem per seed, always the same one. */
export function randomKnives(seed: number): ProblemDocument {
  const random = seeded(seed + 5_000_000);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const maybe = <Value>(chance: number, value: () => Value) => (random() < chance ? value() : undefined);
  const one = <Value>(...values: Value[]) => values[whole(0, values.length - 1)] as Value;
  const products = random() < 0.4 ? ['P', 'Q'] : ['P'];
  const web = whole(5, 8);
  const bad = random() < 0.25;
  const priced = random() < 0.6;
  const trimMax = maybe(0.3, () => ({ left: UNIT_MM * whole(0, 2), right: UNIT_MM * whole(1, 4) }));
  const maxWasteStrips = one(undefined, undefined, 0, 1, 2);
  const slitters = Array.from({ length: random() < 0.2 ? 2 : 1 }, (_, s) => ({
    id: `S${s}`,
    maxStrips: maybe(0.4, () => whole(2, 5)),
    maxDistinctWidths: maybe(0.3, () => whole(1, 2)),
    maxWasteStrips,
    edgeTrimMaxMm: trimMax,
    minutesPerSetup: priced ? 60 : 0,
    costPerHour: priced ? one(0.3, 0.5, 1, 2) : 0,
  }));
  const rolls = products.flatMap((item, p) =>
    Array.from({ length: whole(1, 2) }, (_, r) => ({
      id: `R${p}${r}`,
      kind: 'coated',
      item,
      widthMm: UNIT_MM * (r === 0 ? web : whole(4, web)),
      lengthM: 1,
      count: whole(3, 20),
      costPerRoll: one(1, 1, 1.3),
      defects: maybe(bad ? 0.6 : 0, () => {
        const from = whole(0, 3);
        return [{ fromM: 0, toM: 1, fromMm: UNIT_MM * from, toMm: UNIT_MM * (from + 1), kind: 'streak' }];
      }),
    })),
  );
  const orders = Array.from({ length: whole(2, 4) }, (_, k) => ({
    id: `A${k}`,
    product: products[k % products.length],
    widthMm: UNIT_MM * whole(1, 4),
    lengthM: 1,
    rolls: whole(1, 12),
    overPct: one(0, 0, 20, 100, 1000),
    underPct: maybe(0.2, () => 30),
  }));
  const limited = !priced || random() < 0.2;
  // thrown apart, so that the rest of a seed's problem stays what it was
  const wish = seeded(seed + 6_000_000);
  const keepPatterns =
    wish() < 0.3 ? [{ slitter: 'S0', knivesAtMm: keptKnives(wish, orders, UNIT_MM * web) }] : undefined;
  return JSON.parse(
    JSON.stringify({
      format: 'lanewright-problem/1',
      slitters,
      products: products.map((id) => ({ id })),
      rolls,
      orders,
      fillers: maybe(0.3, () => [
        {
          product: 'P',
          widthMm: UNIT_MM * whole(1, 2),
          lengthM: 1,
          valuePerRoll: one(0.05, 0.1, 0.2),
          maxRolls: whole(1, 6),
        },
      ]),
      limits: { maxPatterns: limited ? whole(1, 4) : undefined, keepPatterns },
    }),
  );
}

/** Knives for strips that are ordered, one beside the other, from the left edge or one step in. */
function keptKnives(wish: () => number, orders: { widthMm: number }[], webMm: number): number[] {
  const knives = [wish() < 0.7 ? 0 : UNIT_MM];
  for (;;) {
    const { widthMm } = orders[Math.floor(wish() * orders.length)]!;
    const next = knives.at(-1)! + widthMm;
    if (next > webMm) break;
    knives.push(next);
  }
  return knives.length > 1 ? knives : [0, UNIT_MM];
}
