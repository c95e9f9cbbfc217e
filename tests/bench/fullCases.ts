// Full-featured problems of a plant's size that can still be written out whole: up to 24 order lines with due days and
// tolerances, set-ups, limits of strips and distinct widths, coated rolls, base film that is coated first, rolls with a
// bad lane through their length, film that arrives after some orders are due, stubs, lead-ins and tails. Wide strips
// keep the number of different sets in the tens of thousands.
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { seeded } from '../planner/reference/randomProblem.ts';

const day = (days: number) => new Date(Date.UTC(2027, 2, 1 + days)).toISOString().slice(0, 10);

export interface FullCase {
  name: string;
  document: ProblemDocument;
}

const SIZES = [
  { orders: 8, lengths: [300], rolls: 3 },
  { orders: 12, lengths: [300], rolls: 4 },
  { orders: 16, lengths: [300, 450], rolls: 5 },
  { orders: 24, lengths: [300, 450], rolls: 7 },
];
const OF_EACH_SIZE = 3;

export function fullCases(): FullCase[] {
  return SIZES.flatMap((size, s) =>
    Array.from({ length: OF_EACH_SIZE }, (_, k) => {
      const seed = 100 * (s + 1) + k;
      return { name: `${size.orders}-${seed}`, document: fullCase(seed, size) };
    }),
  );
}

function fullCase(seed: number, { orders, lengths, rolls }: (typeof SIZES)[number]): ProblemDocument {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  const one = <Value>(...values: Value[]) => values[whole(0, values.length - 1)] as Value;
  const lines = Array.from({ length: orders }, (_, k) => ({
    id: `A${k}`,
    product: 'P',
    widthMm: 5 * whole(22, 66),
    lengthM: lengths[k % lengths.length] as number,
    rolls: whole(5, 45),
    overPct: one(0, 5, 10),
    underPct: one(0, 0, 10),
    dueOn: day(whole(4, 25)),
  }));
  const neededM2 = lines.reduce((sum, line) => sum + (line.widthMm * line.lengthM * line.rolls) / 1000, 0);
  const eachM = Math.round((1.6 * neededM2) / 0.98 / rolls / 10) * 10;
  return {
    format: 'lanewright-problem/1',
    planOn: day(0),
    slitters: [
      {
        id: 'S',
        maxStrips: one(6, 7, 8),
        maxDistinctWidths: one(2, 3),
        edgeTrimMinMm: { left: 6, right: 6 },
        minutesPerSetup: 30,
        minutesPerSetChange: 2.5,
        metresPerMinute: 200,
        rampUpSeconds: 30,
        rampDownSeconds: 20,
        leadInM: 30,
        tailM: 1.5,
        costPerHour: 60,
      },
    ],
    products: [
      {
        id: 'P',
        coating: {
          grades: ['G'],
          coatFreeEdgeMm: { left: 8, right: 8 },
          lossM: 60,
          costPerM2: 0.1,
          leadDays: 3,
        },
      },
    ],
    grades: [{ id: 'G', thicknessUm: 6, densityGPerCm3: 1.39 }],
    rolls: Array.from({ length: rolls }, (_, k) => rollOf(k)),
    orders: lines,
    costs: { perLateRollDay: 0.5, holdingPerM2: 0.02 },
  };

  /** The first is coated, the second has a bad lane, the third arrives late; the rest is base film. */
  function rollOf(k: number): NonNullable<ProblemDocument['rolls']>[number] {
    const widthMm = one(1050, 1050, 820);
    const lengthM = Math.max(1500, eachM);
    const fromMm = 5 * whole(40, 100);
    return {
      id: `R${k}`,
      kind: k < 3 ? 'coated' : 'base',
      item: k < 3 ? 'P' : 'G',
      widthMm,
      lengthM,
      costPerRoll: Math.round((0.35 - (k < 3 ? 0 : 0.1)) * widthMm * lengthM) / 1000,
      ...(k === 1
        ? { defects: [{ fromM: 0, toM: lengthM, fromMm, toMm: fromMm + 15, kind: 'streak' }] }
        : {}),
      ...(k === 2 ? { readyOn: day(8) } : {}),
    };
  }
}
