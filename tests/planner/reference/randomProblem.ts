// Small random problems from a seed, with every limit and cost that the full model knows switched on at random.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seededRandom as seeded } from '../../../src/planner/model/seededRandom.ts';

export { seeded };

/** One problem per seed, always the same one. */
export function randomProblem(seed: number): ProblemDocument {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const maybe = <Value>(chance: number, value: () => Value) => (random() < chance ? value() : undefined);
  const lengths = [100, 150, 230].slice(0, whole(1, 3));
  const webs = [whole(300, 500), whole(300, 800), whole(400, 700)].slice(0, whole(1, 3));
  const slitters = ['S1', 'S2'].slice(0, whole(1, 2)).map((id) => ({
    id,
    maxWebWidthMm: maybe(0.2, () => whole(400, 800)),
    minStripWidthMm: maybe(0.3, () => whole(20, 80)),
    maxStrips: maybe(0.6, () => whole(2, 7)),
    maxDistinctWidths: maybe(0.4, () => whole(1, 3)),
    maxWasteStrips: maybe(0.3, () => whole(0, 1)),
    edgeTrimMinMm: maybe(0.6, () => ({ left: whole(0, 12), right: whole(0, 12) })),
    edgeTrimMaxMm: maybe(0.4, () => ({ left: whole(12, 60), right: whole(12, 60) })),
    minutesPerSetChange: maybe(0.5, () => whole(1, 5)),
    metresPerMinute: maybe(0.5, () => whole(50, 300)),
    rampUpSeconds: maybe(0.5, () => whole(0, 90)),
    rampDownSeconds: maybe(0.5, () => whole(0, 60)),
    leadInM: maybe(0.5, () => whole(0, 30)),
    tailM: maybe(0.5, () => whole(0, 4)),
    maxRollDiameterMm: maybe(0.2, () => whole(55, 62)),
    costPerHour: maybe(0.5, () => whole(10, 90)),
  }));
  const orders = Array.from({ length: whole(2, 5) }, (_, index) => ({
    id: `A${index}`,
    product: 'P',
    widthMm: whole(60, 220) + (random() < 0.2 ? 0.5 : 0),
    lengthM: lengths[whole(0, lengths.length - 1)]!,
    rolls: whole(1, 14),
    overPct: maybe(0.4, () => whole(0, 40)),
    underPct: maybe(0.3, () => whole(0, 30)),
  }));
  return JSON.parse(
    JSON.stringify({
      format: 'lanewright-problem/1',
      slitters,
      products: [
        {
          id: 'P',
          layerThicknessUm: 8,
          coreOutsideDiameterMm: 32.5,
          coating: maybe(0.3, () => ({
            grades: ['G'],
            coatFreeEdgeMm: { left: whole(0, 20), right: whole(0, 20) },
          })),
        },
      ],
      grades: [{ id: 'G' }],
      rolls: webs.map((widthMm, index) => ({
        id: `R${index}`,
        widthMm,
        lengthM: whole(150, 700),
        count: whole(1, 12),
        costPerRoll: maybe(0.7, () => whole(20, 200)),
      })),
      orders,
      fillers: maybe(0.3, () => [
        {
          product: 'P',
          widthMm: whole(30, 90),
          lengthM: lengths[0],
          valuePerRoll: whole(1, 6),
          maxRolls: whole(0, 8),
        },
      ]),
      costs: {
        holdingPerM2: maybe(0.5, () => random() * 0.2),
        stubKeepMinM: maybe(0.4, () => whole(50, 300)),
      },
    }),
  );
}

/** The same with set-ups that cost something, at times a limit of patterns, and no largest trims. */
export function randomSetups(seed: number): ProblemDocument {
  const document = randomProblem(seed);
  const random = seeded(seed + 1_000_000);
  // Waste strips on all slitters or on none: the integer program does not tell on which a strip is wasted.
  const wastes = document.slitters.every(({ maxWasteStrips }) => maxWasteStrips !== 0);
  for (const slitter of document.slitters) {
    delete slitter.edgeTrimMaxMm;
    delete slitter.maxWasteStrips;
    if (!wastes) slitter.maxWasteStrips = 0;
    slitter.minutesPerSetup = 5 + Math.floor(40 * random());
    slitter.costPerHour ??= 20;
  }
  if (random() < 0.4) document.limits = { maxPatterns: 1 + Math.floor(4 * random()) };
  return document;
}
