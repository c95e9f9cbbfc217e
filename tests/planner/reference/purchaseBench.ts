// The generated buying problem of the project's method notes: 40 widths, three stocks of base film that run out, five
// offers of wider film with minimum orders. Every roll gives one set; costs count film only. From a seed.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seeded } from './randomProblem.ts';

export function purchaseBench(seed: number, widthCount = 40): ProblemDocument {
  const random = seeded(seed);
  const widths = new Set<number>();
  while (widths.size < widthCount) widths.add(80 + 5 * Math.floor(165 * random()));
  const wide = [...widths].sort((a, b) => b - a);
  const stocks: [number, number][] = [
    [2100, 30],
    [1650, 20],
    [1320, 25],
  ];
  // 1 m long, 1000 um thick at 1 g/cm3: a roll weighs its width in metres, in kg
  const kgOf = (widthMm: number) => widthMm / 1000;
  return {
    format: 'lanewright-problem/1',
    slitters: [{ id: 'S', maxStrips: 14, maxDistinctWidths: 7, edgeTrimMinMm: { left: 10, right: 10 } }],
    products: [{ id: 'P', coating: { grades: ['G'] } }],
    grades: [{ id: 'G', thicknessUm: 1000, densityGPerCm3: 1 }],
    rolls: stocks.map(([widthMm, count]) => ({
      ...{ id: `R${widthMm}`, kind: 'base' as const, item: 'G', widthMm, lengthM: 1, count },
      costPerRoll: Math.round(widthMm * 8.5) / 100,
    })),
    offers: [1250, 1560, 1880, 2150, 2400].map((widthMm) => ({
      ...{ id: `O${widthMm}`, supplier: 'S', grade: 'G', widthMm, rollLengthM: 1 },
      pricePerKg: 100 * (0.97 + 0.06 * random()),
      minOrderKg: kgOf(widthMm) * (20 + Math.floor(60 * random())),
      leadTimeDays: 0,
    })),
    orders: wide.map((widthMm, index) => ({
      ...{ id: `A${index}`, product: 'P', widthMm, lengthM: 1, rolls: 5 + Math.floor(115 * random()) },
    })),
  };
}
