// Random problems of a whole plant from a seed, everything on: several slitters with calendars, limits and knives that
// stand; coated rolls, base rolls and stubs with dates and bad places; offers with minimum orders; orders with due days,
// priorities, tolerances and good shares; fillers; every cost; at times a limit of patterns and rolls left out.
import type { ProblemDocument } from '../../../src/domain/problemSchema.ts';
import { seeded } from './randomProblem.ts';

interface Dice {
  whole(least: number, most: number): number;
  maybe<Value>(chance: number, value: () => Value): Value | undefined;
  some<Value>(least: number, most: number, value: (index: number) => Value): Value[];
  one<Value>(values: Value[]): Value;
}

/** The first of March 2027 and some days, as an ISO date. */
const day = (days: number) => new Date(Date.UTC(2027, 2, 1 + days)).toISOString().slice(0, 10);

/** One problem per seed, always the same one. `size` 1 is small (2 to 6 orders); 2 has twice as many of everything. */
export function randomPlant(seed: number, size = 1): ProblemDocument {
  const dice = openDice(seed);
  const { whole, maybe, some } = dice;
  const products = ['P', 'Q'].slice(0, whole(1, 2));
  const lengths = [120, 200, 350].slice(0, whole(1, 3));
  // thrown apart, so that the rest of a seed's problem stays what it was
  const wishes = openDice(seed + 1_000_000);
  const slitters = some(1, 3, (index) => slitterOf(dice, index));
  const rolls = some(1, 4 * size, (index) => rollOf(dice, index, products));
  // undefined fields are left out of the document
  return JSON.parse(
    JSON.stringify({
      format: 'lanewright-problem/1',
      planOn: day(0),
      slitters,
      products: products.map((id) =>
        productOf(
          dice,
          id,
          slitters.map((slitter) => slitter.id),
        ),
      ),
      grades: [{ id: 'G', thicknessUm: 12, densityGPerCm3: 1.4 }],
      rolls,
      offers: some(0, 2, (index) => offerOf(dice, index)),
      orders: some(2, 6 * size, (index) => ({
        ...orderOf(dice, index, products, lengths),
        awayFromEdgeMm: wishes.maybe(0.15, () => wishes.whole(0, 60)),
      })),
      fillers: some(0, 2, () => fillerOf(dice, products, lengths)),
      costs: {
        perLateRollDay: maybe(0.5, () => whole(0, 5)),
        perShortM2: maybe(0.3, () => whole(1, 40)),
        holdingPerM2: maybe(0.5, () => whole(0, 20) / 100),
        stubKeepMinM: maybe(0.4, () => whole(40, 300)),
        perSplice: wishes.maybe(0.4, () => wishes.whole(0, 20)),
        stubUseUp: wishes.maybe(0.3, () => wishes.whole(0, 80)),
      },
      limits: {
        maxPatterns: maybe(0.4, () => whole(1, 5 * size)),
        excludeRolls: maybe(0.1, () => [nameOf(rolls[0]!)]),
      },
    }),
  );
}

const nameOf = ({ id, count }: { id: string; count: number }) => (count === 1 ? id : `${id}#1`);

function openDice(seed: number): Dice {
  const random = seeded(seed);
  const whole = (least: number, most: number) => least + Math.floor(random() * (most - least + 1));
  return {
    whole,
    maybe: (chance, value) => (random() < chance ? value() : undefined),
    some: (least, most, value) => Array.from({ length: whole(least, most) }, (_, index) => value(index)),
    one: (values) => values[whole(0, values.length - 1)]!,
  };
}

function slitterOf({ whole, maybe, some }: Dice, index: number) {
  const both = (least: number, most: number) => ({ left: whole(least, most), right: whole(least, most) });
  return {
    id: `S${index}`,
    maxWebWidthMm: maybe(0.2, () => whole(450, 900)),
    minStripWidthMm: maybe(0.2, () => whole(20, 70)),
    maxStrips: maybe(0.6, () => whole(3, 9)),
    maxDistinctWidths: maybe(0.3, () => whole(1, 4)),
    maxWasteStrips: maybe(0.4, () => whole(0, 2)),
    edgeTrimMinMm: maybe(0.6, () => both(0, 10)),
    edgeTrimMaxMm: maybe(0.4, () => both(10, 60)),
    minutesPerSetup: maybe(0.8, () => whole(5, 45)),
    minutesPerKnifeMove: maybe(0.5, () => whole(1, 5)),
    minutesPerSetChange: maybe(0.5, () => whole(1, 6)),
    metresPerMinute: maybe(0.7, () => whole(40, 300)),
    rampUpSeconds: maybe(0.4, () => whole(0, 90)),
    rampDownSeconds: maybe(0.4, () => whole(0, 60)),
    leadInM: maybe(0.5, () => whole(0, 25)),
    tailM: maybe(0.5, () => whole(0, 4)),
    maxRollDiameterMm: maybe(0.2, () => whole(70, 90)),
    costPerHour: maybe(0.8, () => whole(10, 90)),
    knivesAtMm: maybe(0.3, () => [5, 105, 205, 305]),
    calendar: maybe(0.5, () => ({
      minutesPerDay: whole(240, 1440),
      closedOn: some(0, 4, () => day(whole(0, 20))),
    })),
  };
}

function productOf({ whole, maybe, one }: Dice, id: string, slitters: string[]) {
  return {
    id,
    layerThicknessUm: 12,
    coreOutsideDiameterMm: 32.5,
    maxSplicesPerRoll: maybe(0.4, () => whole(0, 2)),
    slitters: maybe(0.2, () => [one(slitters)]),
    coating: maybe(0.7, () => ({
      grades: ['G'],
      coatFreeEdgeMm: maybe(0.5, () => ({ left: whole(0, 15), right: whole(0, 15) })),
      lossM: maybe(0.5, () => whole(0, 20)),
      costPerM2: maybe(0.6, () => whole(0, 30) / 100),
      leadDays: maybe(0.5, () => whole(0, 6)),
    })),
  };
}

function rollOf({ whole, maybe, one, some }: Dice, index: number, products: string[]) {
  const kind = one(['coated', 'coated', 'base', 'stub']);
  const widthMm = whole(250, 900);
  const lengthM = kind === 'stub' ? whole(100, 260) : whole(200, 1500);
  const ready = maybe(0.3, () => whole(0, 12));
  return {
    id: `R${index}`,
    kind,
    item: kind === 'base' ? 'G' : one(products),
    widthMm,
    lengthM,
    count: one([1, 1, 2, whole(3, 8)]),
    readyOn: ready === undefined ? undefined : day(ready),
    useBy: maybe(0.3, () => day((ready ?? -3) + whole(0, 30))),
    costPerRoll: maybe(0.8, () => whole(20, 300)),
    defects: maybe(0.3, () =>
      some(1, 2, () => {
        const fromM = whole(0, lengthM - 20);
        const fromMm = whole(0, widthMm - 20);
        const across = one([
          { fromMm: 0, toMm: widthMm },
          { fromMm, toMm: fromMm + whole(5, 20) },
        ]);
        return { fromM, toM: fromM + whole(1, 20), ...across, kind: 'mark' };
      }),
    ),
  };
}

function offerOf({ whole, maybe, one }: Dice, index: number) {
  const min = whole(300, 500);
  const range = { min, max: min + 50 * whole(1, 6), step: 50 };
  return {
    id: `O${index}`,
    supplier: `Maker ${index}`,
    grade: 'G',
    ...one([{ widthMm: whole(400, 800) }, { widthRangeMm: range }]),
    rollLengthM: whole(400, 1200),
    pricePerKg: whole(60, 140) / 10,
    minOrderKg: maybe(0.6, () => whole(5, 60)),
    leadTimeDays: whole(0, 30),
  };
}

function orderOf({ whole, maybe, one }: Dice, index: number, products: string[], lengths: number[]) {
  const mostlyGood = maybe(0.1, () => ({ goodRollPct: whole(80, 99), completePct: whole(80, 99) }));
  return {
    id: `A${index}`,
    product: one(products),
    widthMm: whole(40, 260) + one([0, 0, 0, 0.5]),
    lengthM: one(lengths),
    rolls: whole(1, 16),
    overPct: maybe(0.4, () => whole(0, 40)),
    underPct: maybe(0.3, () => whole(0, 30)),
    ...mostlyGood,
    dueOn: maybe(0.6, () => day(whole(-2, 30))),
    priority: maybe(0.5, () => one(['low', 'normal', 'rush'])),
  };
}

function fillerOf({ whole, maybe, one }: Dice, products: string[], lengths: number[]) {
  return {
    product: one(products),
    widthMm: whole(30, 120),
    lengthM: one(lengths),
    valuePerRoll: maybe(0.9, () => whole(1, 8)),
    maxRolls: whole(0, 12),
  };
}
