// The demo plant as rows of the tables, dates counted from the day of seeding. The plant, its people and its
// numbers are invented (demo-plant.json says so). What the scenario leaves out is chosen here and marked
// "default - verify" in the notes: common practice, no source, to be overwritten by a real plant.
import type { ResourceName, Row } from '../src/domain/resource.ts';
import { addDays, areaM2, type IsoDate, mmToUm, mToMm } from '../src/domain/units.ts';
import { weeksFrom } from '../src/domain/weeks.ts';
import demo from './demo-plant.json' with { type: 'json' };
import { placesOfNote } from './rollNotes.ts';

/** Dry coating, g/cm3. Common practice, no source. */
const COATING_DENSITY = 1.2;
/** Outside diameter in mm of a core by its inside diameter: walls of 3.55 and 7.9 mm. Common practice, no source. */
const CORE_OUTSIDE_MM: Readonly<Record<string, number>> = { '25.4': 32.5, '76.2': 92 };
/** Coating material, EUR for each g/m2 dry, and running the coater, EUR/m2. Common practice, no source. */
const COATING_MATERIAL_EUR = 0.022;
const COATING_RUN_EUR = 0.022;
const COATING_LOSS_M = 120;
const COATING_LEAD_DAYS = 5;
const LEAD_IN_M = 30;
const TAIL_M = 1.5;
const RAMP_UP_S = 30;
const RAMP_DOWN_S = 20;
/** A catalogue width is worth this share of its film and coating; no more of each in one plan. No source. */
const FILLER_SHARE = 0.4;
const FILLER_ROLLS = 20;

const PRODUCT_NOTE =
  'default - verify: layer thickness (thickest film and dry coating at 1.2 g/cm3), core outside, coating start-up loss, cost and lead time.';
/** An invented rate, so that an offer in dollars can be tried. */
const DEMO_DOLLAR = 0.9;
const RATE_NOTE = 'invented; default - verify';
const SLITTER_NOTE = 'default - verify: lead-in, tail, ramps.';

type Grade = (typeof demo.grades)[number];
type Product = (typeof demo.products)[number];

const round = (value: number, digits: number): number => Number(value.toFixed(digits));
const byId = <T extends { id: string }>(list: readonly T[], id: string): T => {
  const found = list.find((one) => one.id === id);
  if (!found) throw new Error(`the demo plant has no ${id}`);
  return found;
};

/** Rows in inner units, in the order in which they can be stored. `today` is the day of seeding. */
export function demoPlant(today: IsoDate): Record<ResourceName, Row[]> {
  const customers = [...new Set(demo.orderLines.map((line) => line.customer))];
  const customerCode = (name: string) => `C-${String(customers.indexOf(name) + 1).padStart(2, '0')}`;
  return {
    rates: [
      { code: 'USD', currency: 'USD', fromOn: addDays(today, -90), rate: DEMO_DOLLAR, note: RATE_NOTE },
    ],
    suppliers: Object.entries(demo.suppliers).map(([code, name]) => ({ code, name })),
    grades: demo.grades.map((grade) => ({
      code: grade.id,
      polymer: grade.polymer,
      thicknessUm: grade.thicknessUm,
      densityGPerCm3: grade.densityGPerCm3,
      surface: grade.surface,
    })),
    offers: demo.grades.map(offerRow),
    slitters: demo.machines.filter((machine) => machine.id.startsWith('SL-')).map(slitterRow),
    products: demo.products.map(productRow),
    rolls: demo.rolls.map((roll) => rollRow(roll, today)),
    customers: customers.map((name) => ({ code: customerCode(name), name })),
    orders: demo.orderLines.map((line) => orderRow(line, customerCode(line.customer), today)),
    fillers: demo.products.flatMap(fillerRows),
    forecasts: forecastRows(today),
  };
}

function offerRow(grade: Grade): Row {
  return {
    code: `${grade.supplier}-${grade.id}-${grade.widthMm}`,
    supplier: grade.supplier,
    grade: grade.id,
    widthUm: mmToUm(grade.widthMm),
    rollLengthMm: mToMm(grade.rollLengthM),
    coreInsideUm: mmToUm(grade.coreIdMm),
    pricePerKg: grade.pricePerKg,
    minOrderKg: grade.minOrderKg,
    leadTimeDays: grade.leadTimeWeeks * 7,
  };
}

function slitterRow(machine: (typeof demo.machines)[number]): Row {
  const trimMin = mmToUm(machine.edgeTrimMinMm ?? 0);
  const trimMax = mmToUm(machine.edgeTrimMaxMm ?? 0);
  return {
    code: machine.id,
    name: machine.job,
    maxWebWidthUm: mmToUm(machine.maxWebWidthMm),
    minStripWidthUm: mmToUm(machine.minStripWidthMm ?? 0),
    maxStrips: machine.maxStrips,
    edgeTrimMinLeftUm: trimMin,
    edgeTrimMinRightUm: trimMin,
    edgeTrimMaxLeftUm: trimMax,
    edgeTrimMaxRightUm: trimMax,
    minutesPerSetup: machine.minutesPerSetup,
    minutesPerKnifeMove: machine.minutesPerKnifeMove,
    minutesPerSetChange: machine.minutesPerSetChange,
    metresPerMinute: machine.metresPerMinute,
    rampUpSeconds: RAMP_UP_S,
    rampDownSeconds: RAMP_DOWN_S,
    leadInMm: mToMm(LEAD_IN_M),
    tailMm: mToMm(TAIL_M),
    maxRollDiameterUm: mmToUm(machine.maxRollDiameterMm ?? 0),
    costPerHour: machine.costPerHour,
    note: SLITTER_NOTE,
  };
}

const coatingCostPerM2 = (product: Product): number =>
  round(COATING_RUN_EUR + COATING_MATERIAL_EUR * product.dryGPerM2, 4);

function productRow(product: Product): Row {
  const films = product.baseGrades.map((id) => byId(demo.grades, id).thicknessUm);
  const coater = byId(demo.machines, 'CO-1');
  const widths = `Standard widths ${product.slitWidthsMm.join(', ')} mm, lengths ${product.finishedLengthsM.join(', ')} m.`;
  return {
    code: product.id,
    name: product.name,
    layerThicknessUm: round(Math.max(...films) + product.dryGPerM2 / COATING_DENSITY, 1),
    coreInsideUm: mmToUm(product.finishedCoreMm),
    coreOutsideUm: mmToUm(CORE_OUTSIDE_MM[product.finishedCoreMm] as number),
    maxSplices: product.maxSplices,
    slitters: [product.finishedCoreMm === 25.4 ? 'SL-1' : 'SL-2'],
    grades: product.baseGrades,
    coatFreeLeftUm: mmToUm(coater.coatFreeEdgeMm ?? 0),
    coatFreeRightUm: mmToUm(coater.coatFreeEdgeMm ?? 0),
    coatingLossMm: mToMm(COATING_LOSS_M),
    coatingCostPerM2: coatingCostPerM2(product),
    coatingLeadDays: COATING_LEAD_DAYS,
    dryGPerM2: product.dryGPerM2,
    solidsPct: round(product.solidsFraction * 100, 1),
    shelfLifeMonths: product.shelfLifeMonths,
    note: `${widths} ${PRODUCT_NOTE}`,
  };
}

/** Every standard width in every finished length, at a share of what its film and coating cost. */
function fillerRows(product: Product): Row[] {
  const film = byId(demo.grades, product.baseGrades[0] as string);
  const costPerM2 =
    (film.thicknessUm * film.densityGPerCm3 * film.pricePerKg) / 1000 + coatingCostPerM2(product);
  return product.finishedLengthsM.flatMap((lengthM) =>
    product.slitWidthsMm.map((widthMm) => ({
      code: `${product.id}-${widthMm}x${lengthM}`,
      product: product.id,
      widthUm: mmToUm(widthMm),
      lengthMm: mToMm(lengthM),
      valuePerRoll: round(FILLER_SHARE * costPerM2 * areaM2(mmToUm(widthMm), mToMm(lengthM)), 2),
      maxRolls: FILLER_ROLLS,
      active: true,
      note: 'default - verify: value (40 % of film and coating) and most rolls.',
    })),
  );
}

/** Expected m2 a week of a few products, order lines included. Invented. */
const FORECAST_M2: Readonly<Record<string, number>> = { 'CP-10': 1500, 'CP-20': 900, 'CP-80': 600 };
const FORECAST_WEEKS = { from: 4, to: 16 };

function forecastRows(today: IsoDate): Row[] {
  const weeks = weeksFrom(today, FORECAST_WEEKS.to).slice(FORECAST_WEEKS.from);
  return demo.products.flatMap(({ id: product }) => {
    const areaM2 = FORECAST_M2[product];
    if (areaM2 === undefined) return [];
    return weeks.map((weekOn) => ({
      code: `F-${product}-${weekOn}`,
      product,
      weekOn,
      areaM2,
      note: 'default - verify: an invented forecast.',
    }));
  });
}

function rollRow(roll: (typeof demo.rolls)[number], today: IsoDate): Row {
  const product = roll.kind === 'base' ? undefined : byId(demo.products, roll.item);
  const film = product ? filmUnder(product, roll.widthMm) : byId(demo.grades, roll.item);
  const receivedOn = addDays(today, -roll.receivedDaysAgo);
  const area = areaM2(mmToUm(roll.widthMm), mToMm(roll.lengthM));
  const filmKg = (area * film.thicknessUm * film.densityGPerCm3) / 1000;
  const coatingKg = (area * (product?.dryGPerM2 ?? 0)) / 1000;
  const coatingCost = product ? area * coatingCostPerM2(product) : 0;
  return {
    code: roll.id,
    kind: roll.kind,
    item: roll.item,
    widthUm: mmToUm(roll.widthMm),
    lengthMm: mToMm(roll.lengthM),
    massKg: round(filmKg + coatingKg, 1),
    coreInsideUm: product ? null : mmToUm(film.coreIdMm),
    lot: `${product ? 'C' : film.supplier}-${receivedOn.slice(2).replaceAll('-', '')}`,
    supplier: product ? null : film.supplier,
    location: roll.bin,
    receivedOn,
    useBy: roll.useByInDays === null ? null : addDays(today, roll.useByInDays),
    status: roll.status,
    costPerRoll: round(filmKg * film.pricePerKg + coatingCost, 2),
    note: roll.note || null,
    rollMap: placesOfNote(roll.note, roll.widthMm),
  };
}

/** The grade that a coated roll was made from: the one of its width, else the preferred one. */
function filmUnder(product: Product, widthMm: number): Grade {
  const grades = product.baseGrades.map((id) => byId(demo.grades, id));
  return grades.find((grade) => grade.widthMm === widthMm) ?? (grades[0] as Grade);
}

function orderRow(line: (typeof demo.orderLines)[number], customer: string, today: IsoDate): Row {
  const [, over, under] = /^\+(\d+)\/-(\d+)$/.exec(line.overUnderPct) ?? [];
  if (over === undefined || under === undefined)
    throw new Error(`${line.id}: tolerance ${line.overUnderPct}`);
  return {
    code: line.id,
    customer,
    product: line.product,
    widthUm: mmToUm(line.widthMm),
    lengthMm: mToMm(line.lengthM),
    rolls: line.rolls,
    overPct: Number(over),
    underPct: Number(under),
    dueOn: addDays(today, line.dueInDays),
    priority: line.priority === 'std' ? 'normal' : line.priority,
  };
}
