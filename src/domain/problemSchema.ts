// The shape of the file format lanewright-problem/1 as one strict zod schema: decimal mm across, decimal m along.
// Each message says what would be right; what is wrong is read off the value itself (see problemDocument.ts).
// Fields gained beside the published ones: slitter `maxWasteStrips`, `knivesAtMm` and `calendar`; order `goodRollPct`
// (expected share of good rolls), `completePct` (wanted chance of enough good ones, 95 when left out) and
// `awayFromEdgeMm`; `costs.perSplice`, `costs.stubUseUp`; `locks`, runs that stay as they are, and
// `limits.excludeRolls`, rolls of which nothing more is taken; `limits.keepPatterns`, knives that are set up already.
import { z } from 'zod';
import { MOST_OVER_PCT } from './filmMath.ts';
import { MOST_CERTAIN } from './goodRolls.ts';
import { isIsoDate } from './units.ts';

/** Largest width (mm), length (m) and count that a file may name: far beyond any plant, inside 32 bits of um and mm. */
export const LARGEST = 1_000_000;

const number = (right: string, ok: (value: number) => boolean) =>
  z.number({ error: right }).refine(ok, { error: right });

const isThousandths = (value: number) => Math.abs(value * 1000 - Math.round(value * 1000)) < 1e-6;

const measure = (unit: 'mm' | 'm', least: 'above 0' | 'from 0') =>
  number(
    `a number of ${unit}, ${least}, at most ${LARGEST}, to 0.001 ${unit}`,
    (value) => (least === 'above 0' ? value > 0 : value >= 0) && value <= LARGEST && isThousandths(value),
  );
const widthMm = measure('mm', 'above 0');
const positionMm = measure('mm', 'from 0');
const lengthM = measure('m', 'above 0');
const positionM = measure('m', 'from 0');

const whole = (least: number) =>
  number(
    `a whole number from ${least} to ${LARGEST}`,
    (value) => Number.isInteger(value) && value >= least && value <= LARGEST,
  );
const fromZero = (what: string) => number(`${what}, 0 or more`, (value) => value >= 0 && value <= 1e12);
const aboveZero = (what: string) => number(`${what}, above 0`, (value) => value > 0 && value <= 1e12);
const money = fromZero('an amount of money');
const minutes = fromZero('a number of minutes');
const seconds = fromZero('a number of seconds');

const ID_RIGHT = 'a text of 1 to 200 characters, without blanks at its ends or control characters';
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what is refused
const CONTROL = /[\u0000-\u001f\u007f]/;
const id = z
  .string({ error: ID_RIGHT })
  .refine((text) => text.length >= 1 && text.length <= 200 && text === text.trim() && !CONTROL.test(text), {
    error: ID_RIGHT,
  });
const freeText = z
  .string({ error: 'a text of at most 2000 characters' })
  .max(2000, { error: 'a text of at most 2000 characters' });
const DATE_RIGHT = 'an existing day, written yyyy-mm-dd';
const date = z.string({ error: DATE_RIGHT }).refine(isIsoDate, { error: DATE_RIGHT });

const record = <Shape extends z.ZodRawShape>(shape: Shape) =>
  z.strictObject(shape, {
    error: (issue) =>
      issue.code === 'unrecognized_keys'
        ? `only these fields: ${Object.keys(shape).join(', ')}`
        : `an object with the fields ${Object.keys(shape).join(', ')}`,
  });
const list = <Item extends z.ZodType>(item: Item, right: string, least = 0) =>
  z.array(item, { error: right }).min(least, { error: right });

const edges = () => record({ left: positionMm.optional(), right: positionMm.optional() });

const slitter = record({
  id,
  maxWebWidthMm: widthMm.optional(),
  minStripWidthMm: positionMm.optional(),
  maxStrips: whole(1).optional(),
  maxDistinctWidths: whole(1).optional(),
  maxWasteStrips: whole(0).optional(),
  edgeTrimMinMm: edges().optional(),
  edgeTrimMaxMm: edges().optional(),
  minutesPerSetup: minutes.optional(),
  minutesPerKnifeMove: minutes.optional(),
  minutesPerSetChange: minutes.optional(),
  metresPerMinute: aboveZero('a speed in m/min').optional(),
  rampUpSeconds: seconds.optional(),
  rampDownSeconds: seconds.optional(),
  leadInM: positionM.optional(),
  tailM: positionM.optional(),
  maxRollDiameterMm: widthMm.optional(),
  costPerHour: money.optional(),
  knivesAtMm: list(positionMm, 'a list of knife positions in mm from the left datum edge').optional(),
  calendar: record({
    minutesPerDay: number('a number of minutes, above 0, at most 1440', (n) => n > 0 && n <= 1440).optional(),
    closedOn: list(date, 'a list of days').optional(),
    taken: list(
      record({ on: date, minutes: number('a number of minutes, 0 or more', (n) => n >= 0) }),
      'a list of days with the minutes that other work takes',
    ).optional(),
  }).optional(),
});

const coating = record({
  grades: list(id, 'a list of at least one grade id', 1),
  coatFreeEdgeMm: edges().optional(),
  lossM: positionM.optional(),
  costPerM2: money.optional(),
  leadDays: whole(0).optional(),
});

const product = record({
  id,
  layerThicknessUm: aboveZero('a thickness in um').optional(),
  coreOutsideDiameterMm: widthMm.optional(),
  maxSplicesPerRoll: whole(0).optional(),
  slitters: list(id, 'a list of at least one slitter id', 1).optional(),
  coating: coating.optional(),
});

const grade = record({
  id,
  thicknessUm: aboveZero('a thickness in um').optional(),
  densityGPerCm3: aboveZero('a density in g/cm3').optional(),
});

const defect = record({
  fromM: positionM.optional(),
  toM: lengthM.optional(),
  fromMm: positionMm.optional(),
  toMm: widthMm.optional(),
  kind: freeText.optional(),
});

const roll = record({
  id,
  kind: z.enum(['coated', 'base', 'stub'], { error: 'one of "coated", "base", "stub"' }).optional(),
  item: id.optional(),
  widthMm,
  lengthM,
  count: whole(1).optional(),
  readyOn: date.optional(),
  useBy: date.optional(),
  costPerRoll: money.optional(),
  defects: list(defect, 'a list of bad places').optional(),
});

const offer = record({
  id,
  supplier: freeText.optional(),
  grade: id,
  widthMm: widthMm.optional(),
  widthRangeMm: record({ min: widthMm, max: widthMm, step: widthMm.optional() }).optional(),
  rollLengthM: lengthM,
  pricePerKg: money,
  minOrderKg: fromZero('a mass in kg').optional(),
  leadTimeDays: whole(0).optional(),
});

const percent = (most: number) =>
  number(`a percentage from 0 to ${most}`, (value) => value >= 0 && value <= most);

const order = record({
  id,
  product: id,
  widthMm,
  lengthM,
  rolls: whole(1),
  overPct: percent(MOST_OVER_PCT).optional(),
  underPct: percent(100).optional(),
  goodRollPct: number('a percentage from 1 to 100', (value) => value >= 1 && value <= 100).optional(),
  completePct: number(
    'a percentage from 1 to 99.9999',
    (value) => value >= 1 && value <= 100 * MOST_CERTAIN,
  ).optional(),
  awayFromEdgeMm: positionMm.optional(),
  dueOn: date.optional(),
  priority: z.enum(['low', 'normal', 'rush'], { error: 'one of "low", "normal", "rush"' }).optional(),
});

const filler = record({
  product: id,
  widthMm,
  lengthM,
  valuePerRoll: money.optional(),
  maxRolls: whole(0).optional(),
});

const costs = record({
  perLateRollDay: money.optional(),
  perShortM2: money.optional(),
  holdingPerM2: money.optional(),
  stubKeepMinM: positionM.optional(),
  perSplice: money.optional(),
  stubUseUp: money.optional(),
});

const sets = whole(1);
const strip = record({
  fromMm: positionMm,
  toMm: widthMm,
  order: id.optional(),
  filler: whole(0).optional(),
  waste: z.literal(true, { error: 'true, or left out' }).optional(),
});
/** A run of a plan as its file has it; what a plan works out itself (number, day, minutes, moves) may stay and is not read. */
const lock = record({
  slitter: id,
  product: id,
  lengthM,
  sets,
  trimLeftMm: positionMm,
  trimRightMm: positionMm,
  strips: list(strip, 'a list of at least one strip, left to right', 1),
  from: list(record({ roll: id, sets, startM: positionM }), 'a list of at least one roll', 1),
  sequence: whole(1).optional(),
  startsOn: date.optional(),
  minutes: minutes.optional(),
  knifeMoves: whole(0).optional(),
});

const limits = record({
  maxPatterns: whole(1).optional(),
  excludeRolls: list(id, 'a list of names of rolls').optional(),
  keepPatterns: list(
    record({ slitter: id, knivesAtMm: list(positionMm, 'a list of at least two knife positions in mm', 2) }),
    'a list of patterns that are set up: slitter and knivesAtMm',
  ).optional(),
});

export const problemSchema = record({
  format: z.literal('lanewright-problem/1', { error: '"lanewright-problem/1"' }),
  planOn: date.optional(),
  currency: freeText.optional(),
  slitters: list(slitter, 'a list of at least one slitter', 1),
  products: list(product, 'a list of at least one product', 1),
  grades: list(grade, 'a list of grades').optional(),
  rolls: list(roll, 'a list of rolls').optional(),
  offers: list(offer, 'a list of offers').optional(),
  orders: list(order, 'a list of at least one order', 1),
  fillers: list(filler, 'a list of fillers').optional(),
  costs: costs.optional(),
  limits: limits.optional(),
  locks: list(lock, 'a list of runs').optional(),
});

/** The problem as the file has it; what is left out is filled in by `problemFromDocument`. */
export type ProblemDocument = z.input<typeof problemSchema>;
