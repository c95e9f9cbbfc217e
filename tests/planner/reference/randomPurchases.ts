// Small random problems of buying: base film in stock, up to three offers of fixed widths or of a range of widths, with
// minimum orders that may bind, coated into one or two products. From a seed, always the same.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seeded } from './randomProblem.ts';

/** One problem per seed. With `whole`, rolls as long as one set, so that nothing is left of them. */
export function randomPurchases(seed: number): ProblemDocument {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const maybe = <Value>(chance: number, value: () => Value) => (random() < chance ? value() : undefined);
  const products = ['P', 'Q'].slice(0, whole(1, 2));
  const wholeRolls = random() < 0.5;
  const lengths = wholeRolls ? [100] : [100, 150].slice(0, whole(1, 2));
  const rollLengthM = wholeRolls ? 130 : whole(250, 700);
  const rollKg = 0.4 * rollLengthM * 0.01 * 1.4;
  const offers = Array.from({ length: whole(1, 3) }, (_, index) => {
    const min = whole(250, 400);
    const range = { min, max: min + 20 * whole(1, 4), step: 20 };
    return {
      id: `O${index}`,
      supplier: `S${index}`,
      grade: 'G',
      ...(random() < 0.5 ? { widthMm: whole(300, 600) } : { widthRangeMm: range }),
      rollLengthM,
      pricePerKg: whole(80, 120) / 10,
      minOrderKg: maybe(0.7, () => Math.round(10 * rollKg * whole(1, 12)) / 10),
      leadTimeDays: whole(0, 90),
    };
  });
  return JSON.parse(
    JSON.stringify({
      format: 'lanewright-problem/1',
      planOn: maybe(0.5, () => '2027-03-01'),
      slitters: [
        {
          id: 'S1',
          maxStrips: maybe(0.5, () => whole(3, 7)),
          edgeTrimMinMm: maybe(0.6, () => ({ left: whole(0, 12), right: whole(0, 12) })),
          minutesPerSetChange: maybe(0.5, () => whole(1, 5)),
          leadInM: maybe(0.5, () => whole(0, 10)),
          tailM: maybe(0.5, () => whole(0, 4)),
          costPerHour: maybe(0.5, () => whole(10, 90)),
        },
      ],
      products: products.map((id) => ({
        id,
        coating: {
          grades: ['G'],
          coatFreeEdgeMm: maybe(0.5, () => ({ left: whole(0, 15), right: whole(0, 15) })),
          lossM: maybe(0.5, () => whole(0, 15)),
          costPerM2: maybe(0.7, () => whole(0, 20) / 100),
          leadDays: whole(0, 5),
        },
      })),
      grades: [{ id: 'G', thicknessUm: 10, densityGPerCm3: 1.4 }],
      rolls: Array.from({ length: whole(0, 2) }, (_, index) => ({
        ...{ id: `R${index}`, kind: 'base', item: 'G', widthMm: whole(300, 600), lengthM: rollLengthM },
        ...{ count: whole(1, 3), costPerRoll: maybe(0.7, () => whole(20, 60) / 10) },
      })),
      offers,
      orders: Array.from({ length: whole(2, 4) }, (_, index) => ({
        ...{ id: `A${index}`, product: products[whole(0, products.length - 1)] },
        ...{ widthMm: whole(60, 220), lengthM: lengths[whole(0, lengths.length - 1)], rolls: whole(1, 14) },
        overPct: maybe(0.4, () => whole(0, 30)),
      })),
      costs: {
        holdingPerM2: maybe(0.5, () => random() * 0.05),
        stubKeepMinM: maybe(0.4, () => whole(50, 200)),
      },
    }),
  );
}
