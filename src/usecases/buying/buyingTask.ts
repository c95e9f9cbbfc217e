// The task of a purchase from the frozen state: offers in the plant's currency, with the widths that are worth a column; what
// each grade needs by strips and by area; film in the house and on the way. Offers that cannot be taken come with the reason.
import { countedOnAfter, type LeadTime, leadTimeOf } from '../../domain/leadTime.ts';
import type { WeekOfFilm } from '../../domain/netRequirement.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { addDays, areaM2, daysBetween, type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { type Cutting, cuttingOf, type WantedStrip } from '../../planner/purchase/filmCutting.ts';
import {
  type BuyingOffer,
  type BuyingTask,
  type GradeNeeds,
  rollsInMultiple,
  type StripNeed,
  type SupplierTerms,
} from '../../planner/purchase/purchaseTask.ts';
import type { OfferTerms, SupplierHead } from '../../store/buyingOffers.ts';
import { type BuyingState, rateOf } from './buyingState.ts';
import type { GradeNeed, OrderNeed } from './filmNeeds.ts';
import { widthsOfRange } from './rangeWidths.ts';

/** An offer that is not proposed. */
export interface LeftOut {
  offer: OfferTerms;
  why: 'lapsed' | 'no rate' | 'no set';
  /** The currency that has no rate. */
  currency?: string;
}

/** An offer that can be taken, once for each of its widths. */
export interface Candidate {
  terms: OfferTerms;
  lead: LeadTime;
  rate: number;
  buying: BuyingOffer;
}

export interface GradeTask {
  need: GradeNeed;
  candidates: Candidate[];
  leftOut: LeftOut[];
  needs: GradeNeeds;
}

export const gradeTasks = (state: BuyingState): GradeTask[] =>
  state.needs.map((need) => gradeTask(need, state));

export function buyingTask(
  { settings, suppliers, rates }: BuyingState,
  grades: readonly GradeTask[],
): BuyingTask {
  return {
    offers: grades.flatMap(({ candidates }) => candidates.map(({ buying }) => buying)),
    grades: grades.map(({ needs }) => needs),
    terms: suppliers.map((one) => termsOf(one, rateOf(rates, one.currency) ?? 1)),
    costs: { perOrder: settings.costPerOrder, holdingShare: settings.holdingShare },
  };
}

const termsOf = (one: SupplierHead, rate: number): SupplierTerms => ({
  supplier: one.code,
  minOrderValue: one.minOrderValue === null ? undefined : one.minOrderValue * rate,
  containerKg: one.containerKg ?? undefined,
  containerRolls: one.containerRolls ?? undefined,
  containerCost: (one.containerCost ?? 0) * rate,
});

function gradeTask(need: GradeNeed, state: BuyingState): GradeTask {
  const orders = need.orders.filter(({ needOn }) => needOn <= lastDay(need));
  const offers = state.offers.filter(({ grade }) => grade === need.grade);
  const cutting = cuttingFor(orders, offers, state);
  const candidates: Candidate[] = [];
  const leftOut: LeftOut[] = [];
  for (const offer of offers) {
    const unknown = currencyWithoutRate(offer, state);
    if (offer.validUntil !== null && offer.validUntil < state.today) leftOut.push({ offer, why: 'lapsed' });
    else if (unknown !== undefined) leftOut.push({ offer, why: 'no rate', currency: unknown });
    else {
      const widths = widthsOf(offer, cutting, orders);
      if (widths.length === 0) leftOut.push({ offer, why: 'no set' });
      else candidates.push(...candidatesOf(offer, widths, need, state));
    }
  }
  return { need, candidates, leftOut, needs: needsOf(need, orders, cutting, candidates, state.today) };
}

/** Offers' price, or of its supplier's amounts. */
function currencyWithoutRate(offer: OfferTerms, { suppliers, rates }: BuyingState): string | undefined {
  const supplier = suppliers.find(({ code }) => code === offer.supplier);
  const named = supplier && (supplier.minOrderValue !== null || supplier.containerCost !== null);
  return [offer.currency, ...(named ? [supplier.currency] : [])].find(
    (currency) => rateOf(rates, currency) === undefined,
  );
}

/** The weeks that are looked at end here; what is needed later is left to later proposals. */
const lastDay = ({ net }: GradeNeed): IsoDate => addDays((net.weeks.at(-1) as WeekOfFilm).monday, 6);

// ---- strips --------------------------------------------------------------------------------------------------------

const stripKey = ({ product, widthUm, lengthMm }: WantedStrip): string => `${product}|${widthUm}|${lengthMm}`;

/** Undefined where no order is open, or no slitter is known for its product. */
function cuttingFor(
  orders: readonly OrderNeed[],
  offers: readonly OfferTerms[],
  { machines }: BuyingState,
): Cutting | undefined {
  const strips = [
    ...new Map(
      orders.map(({ product, widthUm, lengthMm }) => [
        stripKey({ product, widthUm, lengthMm }),
        { product, widthUm, lengthMm },
      ]),
    ).values(),
  ];
  const shortest = Math.min(...offers.map(({ rollLengthMm }) => rollLengthMm));
  if (!machines || strips.length === 0 || !Number.isFinite(shortest)) return undefined;
  const read = parseProblem({
    ...machines,
    orders: strips.map(({ product, widthUm, lengthMm }, i) => ({
      ...{ id: `${i}`, product, widthMm: umToMm(widthUm), lengthM: mmToM(lengthMm), rolls: 1 },
    })),
  });
  return read.ok ? cuttingOf(read.problem, strips, shortest) : undefined;
}

/** m2 of each strip, all orders together. */
function wantedOf(cutting: Cutting, orders: readonly OrderNeed[]): Map<number, number> {
  const places = new Map(cutting.strips.map((strip, i) => [stripKey(strip), i]));
  const wanted = new Map<number, number>();
  for (const order of orders) {
    const strip = places.get(stripKey(order)) as number;
    if (order.stripM2 > 0) wanted.set(strip, (wanted.get(strip) ?? 0) + order.stripM2);
  }
  return wanted;
}

/** The widths of an offer that are worth a column; none when no strip that is ordered can be cut from it. */
function widthsOf(offer: OfferTerms, cutting: Cutting | undefined, orders: readonly OrderNeed[]): number[] {
  const wanted = cutting ? wantedOf(cutting, orders) : new Map<number, number>();
  const widths =
    offer.widthUm === null
      ? widthsOfRange(
          {
            minUm: offer.widthMinUm as number,
            maxUm: offer.widthMaxUm as number,
            stepUm: offer.widthStepUm as number,
          },
          cutting,
          wanted,
        )
      : [offer.widthUm];
  return cutting && wanted.size > 0 ? widths.filter((width) => cutting.sitesAt(width).length > 0) : widths;
}

// ---- offers and needs ------------------------------------------------------------------------------------------------

function candidatesOf(
  terms: OfferTerms,
  widths: readonly number[],
  need: GradeNeed,
  state: BuyingState,
): Candidate[] {
  const delays = state.delays.find(({ supplier }) => supplier === terms.supplier)?.days ?? [];
  const lead = leadTimeOf(terms, delays);
  const rate = rateOf(state.rates, terms.currency) as number;
  return widths.map((widthUm) => {
    const rollM2 = areaM2(widthUm, terms.rollLengthMm);
    const rollKg = rollM2 * need.kgPerM2;
    const inMultiple = terms.multipleKg === null ? 1 : rollsInMultiple(terms.multipleKg, rollKg);
    const buying: BuyingOffer = {
      ...{ code: terms.code, supplier: terms.supplier, grade: terms.grade, widthUm, rollKg, rollM2 },
      pricePerKg: terms.pricePerKg * rate,
      breakFromKg: terms.breakFromKg ?? undefined,
      breakPricePerKg: terms.breakPricePerKg === null ? undefined : terms.breakPricePerKg * rate,
      minOrderKg: terms.minOrderKg,
      groupRolls: terms.multipleRolls ?? inMultiple,
      earliestDay: countedOnAfter(lead),
    };
    return { terms, lead, rate, buying };
  });
}

/** Orders by strips where some film on offer makes them, else by area; forecasts and safety stock by area. */
function needsOf(
  need: GradeNeed,
  orders: readonly OrderNeed[],
  cutting: Cutting | undefined,
  candidates: readonly Candidate[],
  today: IsoDate,
): GradeNeeds {
  const day = (on: IsoDate): number => Math.max(0, daysBetween(today, on));
  const latePerM2Day = latePrice(candidates);
  if (!cutting) {
    const needs = need.net.weeks.map(({ monday, lackM2 }, w, weeks) => ({
      day: day(monday),
      areaM2: lackM2 - (weeks[w - 1]?.lackM2 ?? 0),
    }));
    return { grade: need.grade, needs, latePerM2Day };
  }
  const places = new Map(cutting.strips.map((strip, i) => [stripKey(strip), i]));
  const webs = [...new Set(candidates.map(({ buying }) => buying.widthUm))];
  const makeable = new Set(webs.flatMap((web) => cutting.sitesAt(web).flatMap(({ site }) => site.demands)));
  const placed = orders.map((order) => ({ order, strip: places.get(stripKey(order)) as number }));
  const strips: StripNeed[] = placed
    .filter(({ order, strip }) => makeable.has(strip) && order.stripM2 > 0)
    .map(({ order, strip }) => ({ strip, day: day(order.needOn), areaM2: order.stripM2 }));
  return {
    grade: need.grade,
    needs: [
      { day: 0, areaM2: need.safetyM2 },
      ...need.net.weeks.map(({ monday, forecastM2 }) => ({ day: day(monday), areaM2: forecastM2 })),
      ...placed
        .filter(({ strip }) => !makeable.has(strip))
        .map(({ order }) => ({ day: day(order.needOn), areaM2: order.areaM2 })),
    ],
    latePerM2Day,
    strips: { cutting, needs: strips, film: filmThere(need, day) },
  };
}

/** Film that comes without a day is not counted; what is overdue is counted for today, as in the net requirement. */
const filmThere = ({ released, coming }: GradeNeed, day: (on: IsoDate) => number) => [
  ...released.map(({ widthUm, areaM2: m2 }) => ({ widthUm, day: 0, areaM2: m2 })),
  ...coming.map(({ widthUm, areaM2: m2, confirmedOn, wantedOn }) => ({
    ...{ widthUm, areaM2: m2, day: day((confirmedOn ?? wantedOn) as IsoDate) },
  })),
];

/** A week late costs as much as the film. Default - verify: no source. */
function latePrice(candidates: readonly Candidate[]): number {
  const perM2 = candidates.map(({ buying }) => (buying.pricePerKg * buying.rollKg) / buying.rollM2);
  return perM2.length > 0 ? Math.min(...perM2) / 7 : 0;
}
