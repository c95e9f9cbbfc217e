// From the file's decimal mm and m to whole um and mm, with every default filled in. The document must be faultless.
// Defaults: a limit left out is Infinity (or 0 for a minimum), a time or cost left out is 0, except: a roll costs its
// area in m2 times 1 (a base roll whose grade is on offer: its mass at the cheapest price), and see latePrice.ts and shortPrice.ts.
import { acceptedRolls, filmMassKg } from './filmMath.ts';
import { rollsToStart } from './goodRolls.ts';
import { usualLateRollDay } from './latePrice.ts';
import type {
  Coating,
  Edges,
  LockedRun,
  Offer,
  Order,
  Problem,
  Product,
  Slitter,
  StockRoll,
} from './problem.ts';
import type { ProblemDocument } from './problemSchema.ts';
import type { IsoDate, Um } from './units.ts';
import { areaM2, mmToUm, mToMm } from './units.ts';
import { ROUND_THE_CLOCK } from './workCalendar.ts';

type Doc = ProblemDocument;
const NO_LIMIT = Number.POSITIVE_INFINITY;

export function problemFromDocument(document: Doc): Problem {
  const problem = withoutLatePrice(document);
  const perLateRollDay = document.costs?.perLateRollDay ?? usualLateRollDay(problem);
  return { ...problem, costs: { ...problem.costs, perLateRollDay } };
}

function withoutLatePrice(document: Doc): Problem {
  return {
    planOn: document.planOn as IsoDate | undefined,
    currency: document.currency ?? '',
    slitters: document.slitters.map((slitter) => ({
      ...slitterOf(slitter),
      ...keptKnives(document, slitter.id),
    })),
    products: document.products.map((product) => productOf(document, product)),
    grades: (document.grades ?? []).map(({ id, thicknessUm = 0, densityGPerCm3 = 0 }) => ({
      id,
      thicknessUm,
      densityGPerCm3,
    })),
    rolls: (document.rolls ?? []).map((roll) => rollOf(document, roll)),
    offers: (document.offers ?? []).map(offerOf),
    orders: document.orders.map(orderOf),
    fillers: (document.fillers ?? []).map((filler) => ({
      product: filler.product,
      widthUm: mmToUm(filler.widthMm),
      lengthMm: mToMm(filler.lengthM),
      valuePerRoll: filler.valuePerRoll ?? 0,
      maxRolls: filler.maxRolls ?? NO_LIMIT,
    })),
    costs: {
      perLateRollDay: document.costs?.perLateRollDay ?? 0,
      perShortM2: document.costs?.perShortM2,
      holdingPerM2: document.costs?.holdingPerM2 ?? 0,
      stubKeepMinMm:
        document.costs?.stubKeepMinM === undefined ? undefined : mToMm(document.costs.stubKeepMinM),
      perSplice: document.costs?.perSplice ?? 0,
      stubUseUp: document.costs?.stubUseUp ?? 0,
    },
    maxPatterns: document.limits?.maxPatterns ?? NO_LIMIT,
    locks: (document.locks ?? []).map(lockOf),
    excludeRolls: document.limits?.excludeRolls ?? [],
  };
}

const umOr = (valueMm: number | undefined, otherwise: number): Um =>
  valueMm === undefined ? (otherwise as Um) : mmToUm(valueMm);

function edgesOf(side: { left?: number; right?: number } | undefined, otherwise: number): Edges {
  return { left: umOr(side?.left, otherwise), right: umOr(side?.right, otherwise) };
}

function slitterOf(slitter: Doc['slitters'][number]): Slitter {
  return {
    id: slitter.id,
    maxWebWidthUm: umOr(slitter.maxWebWidthMm, NO_LIMIT),
    minStripWidthUm: umOr(slitter.minStripWidthMm, 0),
    maxStrips: slitter.maxStrips ?? NO_LIMIT,
    maxDistinctWidths: slitter.maxDistinctWidths ?? NO_LIMIT,
    maxWasteStrips: slitter.maxWasteStrips ?? NO_LIMIT,
    edgeTrimMinUm: edgesOf(slitter.edgeTrimMinMm, 0),
    edgeTrimMaxUm: edgesOf(slitter.edgeTrimMaxMm, NO_LIMIT),
    minutesPerSetup: slitter.minutesPerSetup ?? 0,
    minutesPerKnifeMove: slitter.minutesPerKnifeMove ?? 0,
    minutesPerSetChange: slitter.minutesPerSetChange ?? 0,
    metresPerMinute: slitter.metresPerMinute ?? NO_LIMIT,
    rampUpSeconds: slitter.rampUpSeconds ?? 0,
    rampDownSeconds: slitter.rampDownSeconds ?? 0,
    leadInMm: mToMm(slitter.leadInM ?? 0),
    tailMm: mToMm(slitter.tailM ?? 0),
    maxRollDiameterUm: umOr(slitter.maxRollDiameterMm, NO_LIMIT),
    costPerHour: slitter.costPerHour ?? 0,
    knivesAtUm: slitter.knivesAtMm?.map(mmToUm),
    calendar: {
      minutesPerDay: slitter.calendar?.minutesPerDay ?? ROUND_THE_CLOCK.minutesPerDay,
      closedOn: (slitter.calendar?.closedOn ?? []) as IsoDate[],
      taken: (slitter.calendar?.taken ?? []) as NonNullable<Slitter['calendar']['taken']>,
    },
  };
}

function keptKnives(document: Doc, id: string): Pick<Slitter, 'keptKnivesUm'> {
  const own = (document.limits?.keepPatterns ?? []).filter(({ slitter }) => slitter === id);
  return own.length > 0 ? { keptKnivesUm: own.map(({ knivesAtMm }) => knivesAtMm.map(mmToUm)) } : {};
}

function productOf(document: Doc, product: Doc['products'][number]): Product {
  return {
    id: product.id,
    layerThicknessUm: product.layerThicknessUm,
    coreOutsideDiameterUm:
      product.coreOutsideDiameterMm === undefined ? undefined : mmToUm(product.coreOutsideDiameterMm),
    maxSplicesPerRoll: product.maxSplicesPerRoll ?? 0,
    slitters: product.slitters ?? document.slitters.map((slitter) => slitter.id),
    coating: product.coating && coatingOf(product.coating),
  };
}

function coatingOf(coating: NonNullable<Doc['products'][number]['coating']>): Coating {
  return {
    grades: coating.grades,
    coatFreeEdgeUm: edgesOf(coating.coatFreeEdgeMm, 0),
    lossMm: mToMm(coating.lossM ?? 0),
    costPerM2: coating.costPerM2 ?? 0,
    leadDays: coating.leadDays ?? 0,
  };
}

function rollOf(document: Doc, roll: NonNullable<Doc['rolls']>[number]): StockRoll {
  const kind = roll.kind ?? 'coated';
  const item = roll.item ?? (kind === 'base' ? document.grades : document.products)?.[0]?.id ?? '';
  return {
    id: roll.id,
    kind,
    item,
    widthUm: mmToUm(roll.widthMm),
    lengthMm: mToMm(roll.lengthM),
    count: roll.count ?? 1,
    readyOn: roll.readyOn as IsoDate | undefined,
    useBy: roll.useBy as IsoDate | undefined,
    costPerRoll: roll.costPerRoll ?? defaultRollCost(document, kind, item, roll),
    defects: (roll.defects ?? []).map((defect) => ({
      fromMm: mToMm(defect.fromM ?? 0),
      toMm: mToMm(defect.toM ?? roll.lengthM),
      fromUm: mmToUm(defect.fromMm ?? 0),
      toUm: mmToUm(defect.toMm ?? roll.widthMm),
      kind: defect.kind ?? '',
    })),
  };
}

function defaultRollCost(
  document: Doc,
  kind: StockRoll['kind'],
  item: string,
  roll: { widthMm: number; lengthM: number },
): number {
  const area = areaM2(mmToUm(roll.widthMm), mToMm(roll.lengthM));
  const prices = (document.offers ?? [])
    .filter((offer) => offer.grade === item)
    .map((offer) => offer.pricePerKg);
  if (kind !== 'base' || prices.length === 0) return area;
  const grade = document.grades?.find(({ id }) => id === item);
  const { thicknessUm = 0, densityGPerCm3 = 0 } = grade ?? {};
  const kg = filmMassKg({ ...roll, thicknessUm, densityGPerCm3 });
  return kg * Math.min(...prices);
}

function offerOf(offer: NonNullable<Doc['offers']>[number]): Offer {
  const {
    min,
    max,
    step = 1,
  } = offer.widthRangeMm ?? {
    min: offer.widthMm as number,
    max: offer.widthMm as number,
  };
  return {
    id: offer.id,
    supplier: offer.supplier ?? '',
    grade: offer.grade,
    widthMinUm: mmToUm(min),
    widthMaxUm: mmToUm(max),
    widthStepUm: mmToUm(step),
    rollLengthMm: mToMm(offer.rollLengthM),
    pricePerKg: offer.pricePerKg,
    minOrderKg: offer.minOrderKg ?? 0,
    leadTimeDays: offer.leadTimeDays ?? 0,
  };
}

function orderOf(order: Doc['orders'][number]): Order {
  return {
    id: order.id,
    product: order.product,
    widthUm: mmToUm(order.widthMm),
    lengthMm: mToMm(order.lengthM),
    rolls: order.rolls,
    ...rollsToMake(order),
    awayFromEdgeUm: umOr(order.awayFromEdgeMm, 0),
    dueOn: order.dueOn as IsoDate | undefined,
    priority: order.priority ?? 'normal',
  };
}

const COMPLETE_PCT_USUAL = 95;

/**
 * `rolls` stays what was ordered and `over` what is made beyond it, so rolls started as a reserve count as over-run; the
 * tolerance below speaks of good rolls, the one above of rolls made.
 */
function rollsToMake(order: Doc['orders'][number]): Pick<Order, 'minRolls' | 'maxRolls' | 'good'> {
  const { minRolls, maxRolls } = acceptedRolls(order.rolls, order.overPct ?? 0, order.underPct ?? 0);
  if (order.goodRollPct === undefined) return { minRolls, maxRolls, good: undefined };
  const good = {
    share: order.goodRollPct / 100,
    wanted: (order.completePct ?? COMPLETE_PCT_USUAL) / 100,
  };
  const start = rollsToStart(minRolls, good.share, good.wanted);
  return { minRolls: start, maxRolls: Math.max(start, maxRolls), good };
}

function lockOf(lock: NonNullable<Doc['locks']>[number]): LockedRun {
  const { slitter, product, lengthM, sets, trimLeftMm, trimRightMm, strips, from } = lock;
  return { slitter, product, lengthM, sets, trimLeftMm, trimRightMm, strips, from };
}
