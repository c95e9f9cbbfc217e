// Rows of the tables as parts of a problem document: whole um and mm become decimal mm and m; empty fields are left out.
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import type { Row } from '../../domain/resource.ts';
import { type BadPlace, placesOnRoll } from '../../domain/rollMap.ts';
import { mmToM, umToMm } from '../../domain/units.ts';

type Part<Name extends keyof ProblemDocument> =
  NonNullable<ProblemDocument[Name]> extends (infer One)[] ? One : never;

const text = (value: unknown): string | undefined =>
  value === null || value === undefined ? undefined : String(value);
const number = (value: unknown): number | undefined =>
  value === null || value === undefined ? undefined : Number(value);
const acrossMm = (um: unknown): number | undefined =>
  um === null || um === undefined ? undefined : umToMm(um as number);
const alongM = (mm: unknown): number | undefined =>
  mm === null || mm === undefined ? undefined : mmToM(mm as number);

/** Leaves out what is undefined: the format knows absent fields, not empty ones. */
function given<T extends object>(part: T): T {
  return Object.fromEntries(Object.entries(part).filter(([, value]) => value !== undefined)) as T;
}

function edges(left: unknown, right: unknown): { left?: number; right?: number } | undefined {
  const both = given({ left: acrossMm(left), right: acrossMm(right) });
  return both.left === undefined && both.right === undefined ? undefined : both;
}

/** What the tables have no field for yet: a usual value, to be verified like every default of the demo plant. */
export const PLANT_COSTS: NonNullable<ProblemDocument['costs']> = { perLateRollDay: 0.5 };

export function problemSlitter(row: Row): Part<'slitters'> {
  return given({
    id: row.code as string,
    maxWebWidthMm: acrossMm(row.maxWebWidthUm),
    minStripWidthMm: acrossMm(row.minStripWidthUm),
    maxStrips: number(row.maxStrips),
    maxDistinctWidths: number(row.maxDistinctWidths),
    maxWasteStrips: number(row.maxWasteStrips),
    edgeTrimMinMm: edges(row.edgeTrimMinLeftUm, row.edgeTrimMinRightUm),
    edgeTrimMaxMm: edges(row.edgeTrimMaxLeftUm, row.edgeTrimMaxRightUm),
    minutesPerSetup: number(row.minutesPerSetup),
    minutesPerKnifeMove: number(row.minutesPerKnifeMove),
    minutesPerSetChange: number(row.minutesPerSetChange),
    metresPerMinute: number(row.metresPerMinute),
    rampUpSeconds: number(row.rampUpSeconds),
    rampDownSeconds: number(row.rampDownSeconds),
    leadInM: alongM(row.leadInMm),
    tailM: alongM(row.tailMm),
    maxRollDiameterMm: acrossMm(row.maxRollDiameterUm),
    costPerHour: number(row.costPerHour),
    calendar: calendarOf(row),
  });
}

function calendarOf(row: Row): Part<'slitters'>['calendar'] {
  const closedOn = (row.closedOn ?? []) as string[];
  const calendar = given({
    minutesPerDay: number(row.minutesPerDay),
    closedOn: closedOn.length > 0 ? closedOn : undefined,
  });
  return Object.keys(calendar).length > 0 ? calendar : undefined;
}

export function problemProduct(row: Row): Part<'products'> {
  const grades = row.grades as string[];
  const slitters = row.slitters as string[];
  return given({
    id: row.code as string,
    layerThicknessUm: number(row.layerThicknessUm),
    coreOutsideDiameterMm: acrossMm(row.coreOutsideUm),
    maxSplicesPerRoll: number(row.maxSplices),
    slitters: slitters.length > 0 ? slitters : undefined,
    coating: grades.length > 0 ? problemCoating(row, grades) : undefined,
  });
}

function problemCoating(row: Row, grades: string[]): NonNullable<Part<'products'>['coating']> {
  return given({
    grades,
    coatFreeEdgeMm: edges(row.coatFreeLeftUm, row.coatFreeRightUm),
    lossM: alongM(row.coatingLossMm),
    costPerM2: number(row.coatingCostPerM2),
    leadDays: number(row.coatingLeadDays),
  });
}

export function problemRoll(row: Row): Part<'rolls'> {
  const size = { widthUm: row.widthUm as number, lengthMm: row.lengthMm as number };
  const defects = placesOnRoll(row.rollMap as BadPlace[], size).map((place) => ({
    fromM: mmToM(place.fromMm),
    toM: mmToM(place.toMm),
    fromMm: umToMm(place.fromUm),
    toMm: umToMm(place.toUm),
    kind: place.kind,
  }));
  return given({
    id: row.code as string,
    kind: row.kind as 'coated' | 'base' | 'stub',
    item: row.item as string,
    widthMm: umToMm(size.widthUm),
    lengthM: mmToM(size.lengthMm),
    useBy: text(row.useBy),
    costPerRoll: number(row.costPerRoll),
    defects: defects.length > 0 ? defects : undefined,
  }) as Part<'rolls'>;
}

export function problemOffer(row: Row): Part<'offers'> {
  const range = row.widthUm === null;
  return given({
    id: row.code as string,
    supplier: row.supplier as string,
    grade: row.grade as string,
    widthMm: acrossMm(row.widthUm),
    widthRangeMm: range
      ? {
          min: umToMm(row.widthMinUm as number),
          max: umToMm(row.widthMaxUm as number),
          step: umToMm(row.widthStepUm as number),
        }
      : undefined,
    rollLengthM: mmToM(row.rollLengthMm as number),
    pricePerKg: row.pricePerKg as number,
    minOrderKg: number(row.minOrderKg),
    leadTimeDays: number(row.leadTimeDays),
  });
}

export function problemOrder(row: Row): Part<'orders'> {
  return given({
    id: row.code as string,
    product: row.product as string,
    widthMm: umToMm(row.widthUm as number),
    lengthM: mmToM(row.lengthMm as number),
    rolls: row.rolls as number,
    overPct: number(row.overPct),
    underPct: number(row.underPct),
    goodRollPct: number(row.goodRollPct),
    completePct: number(row.goodRollPct) === undefined ? undefined : number(row.completePct),
    dueOn: text(row.dueOn),
    priority: row.priority as 'low' | 'normal' | 'rush',
  }) as Part<'orders'>;
}
