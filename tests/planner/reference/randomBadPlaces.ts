// Small random problems with bad places from a seed, every measure on the grid of badPlaceModel.ts: flags over the full
// width, lanes at the edges and between, through the whole roll or for some metres, one beside the other.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seeded } from './randomProblem.ts';

/** One problem per seed, always the same one. */
export function randomBadPlaces(seed: number): ProblemDocument {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const fives = (least: number, most: number) => 5 * whole(least / 5, most / 5);
  const maybe = <Value>(chance: number, value: () => Value) => (random() < chance ? value() : undefined);
  // thrown apart, so that the rest of a seed's problem stays what it was
  const wish = seeded(seed + 3_000_000);
  const lengths = [60, 95].slice(0, whole(1, 2));
  const isBase = random() < 0.3;
  const badPlace = (widthMm: number, lengthM: number) => {
    const fromM = random() < 0.3 ? 0 : fives(0, lengthM - 20);
    const toM = random() < 0.3 ? lengthM : Math.min(lengthM, fromM + fives(5, 80));
    if (random() < 0.4)
      return { fromM, toM: Math.min(toM, fromM + 20), fromMm: 0, toMm: widthMm, kind: 'flag' };
    const fromMm = random() < 0.25 ? 0 : fives(0, widthMm - 20);
    const toMm = random() < 0.2 ? widthMm : Math.min(widthMm, fromMm + fives(5, 60));
    return { fromM, toM, fromMm, toMm, kind: 'lane' };
  };
  const rolls = Array.from({ length: whole(1, 3) }, (_, index) => {
    const widthMm = fives(150, 320);
    const lengthM = fives(110, 330);
    return {
      id: `R${index}`,
      kind: isBase ? ('base' as const) : wish() < 0.4 ? ('stub' as const) : ('coated' as const),
      item: isBase ? 'G' : 'P',
      widthMm,
      lengthM,
      count: whole(1, 3),
      costPerRoll: whole(20, 200),
      defects: Array.from({ length: whole(0, 3) }, () => badPlace(widthMm, lengthM)),
    };
  });
  return JSON.parse(
    JSON.stringify({
      format: 'lanewright-problem/1',
      slitters: [
        {
          id: 'S',
          maxStrips: maybe(0.4, () => whole(2, 5)),
          maxDistinctWidths: maybe(0.3, () => whole(1, 2)),
          maxWasteStrips: maybe(0.5, () => whole(0, 2)),
          edgeTrimMinMm: maybe(0.6, () => ({ left: fives(0, 10), right: fives(0, 10) })),
          edgeTrimMaxMm: maybe(0.6, () => ({ left: fives(10, 50), right: fives(10, 50) })),
          minutesPerSetChange: maybe(0.5, () => whole(1, 5)),
          leadInM: maybe(0.5, () => fives(0, 20)),
          tailM: maybe(0.6, () => fives(0, 10)),
          costPerHour: maybe(0.5, () => whole(10, 90)),
        },
      ],
      products: [
        {
          id: 'P',
          maxSplicesPerRoll: whole(0, 2),
          coating: isBase
            ? {
                grades: ['G'],
                lossM: fives(0, 20),
                costPerM2: whole(0, 2),
                coatFreeEdgeMm: { left: fives(0, 10), right: fives(0, 10) },
              }
            : undefined,
        },
      ],
      grades: [{ id: 'G' }],
      rolls,
      orders: Array.from({ length: whole(1, 3) }, (_, index) => ({
        id: `A${index}`,
        product: 'P',
        widthMm: fives(40, 120),
        lengthM: lengths[whole(0, lengths.length - 1)]!,
        rolls: whole(1, 8),
        overPct: maybe(0.3, () => whole(0, 50)),
      })),
      fillers: maybe(0.3, () => [
        {
          product: 'P',
          widthMm: fives(30, 60),
          lengthM: lengths[0],
          valuePerRoll: whole(1, 9),
          maxRolls: whole(0, 6),
        },
      ]),
      costs: {
        stubKeepMinM: maybe(0.4, () => fives(50, 150)),
        perSplice: wish() < 0.5 ? Math.floor(20 * wish()) : undefined,
        stubUseUp: wish() < 0.5 ? Math.floor(90 * wish()) : undefined,
      },
    }),
  );
}
