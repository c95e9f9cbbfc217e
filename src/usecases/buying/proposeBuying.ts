// What to buy: the net requirement of all grades against the offers that can be taken, in one optimisation
// (planner/purchasePlan.ts); beside each grade the next best way and what it costs more, and the textbook figures. Offers that
// cannot be taken are named with the reason, never proposed. CPU heavy: call it in a worker.
import { type BuyingFigures, buyingFigures } from '../../domain/buyingFigures.ts';
import { countedOnAfter, type LeadTime, leadTimeOf } from '../../domain/leadTime.ts';
import { addDays, areaM2, daysBetween, type IsoDate } from '../../domain/units.ts';
import {
  type Asked,
  type BuyingPlan,
  type OrderLine,
  type PlacedOrder,
  planPurchases,
  together,
} from '../../planner/purchasePlan.ts';
import {
  type BuyingOffer,
  type BuyingTask,
  partsOf,
  rollsInMultiple,
  type SupplierTerms,
} from '../../planner/purchaseTask.ts';
import type { OfferTerms, SupplierHead } from '../../store/buyingOffers.ts';
import type { RateOfDay } from '../../store/rates.ts';
import { bestOfRange, widthFactor } from '../sales/widthSuits.ts';
import { type BuyingState, rateOf } from './buyingState.ts';
import type { GradeNeed } from './filmNeeds.ts';

export interface ProposedLine {
  offer: OfferTerms;
  widthUm: number;
  rolls: number;
  kg: number;
  areaM2: number;
  /** In the plant's currency; `ownPrice` as the offer has it. */
  pricePerKg: number;
  ownPrice: number;
  cost: number;
  lead: LeadTime;
  orderBy: IsoDate;
  wantedOn: IsoDate;
}

/** Lines of one supplier for one day: one purchase order. */
export interface ProposedOrder extends Omit<PlacedOrder, 'supplier' | 'arrivesDay'> {
  supplier: SupplierHead;
  lines: ProposedLine[];
  orderBy: IsoDate;
  wantedOn: IsoDate;
}

/** An offer that is not proposed. */
export interface LeftOut {
  offer: OfferTerms;
  why: 'lapsed' | 'no rate' | 'too narrow';
  /** The currency that has no rate. */
  currency?: string;
}

export interface GradeProposal {
  grade: string;
  need: GradeNeed;
  lines: ProposedLine[];
  /** Some offer can be taken; without lines it costs less to wait for film on the way. */
  offered: boolean;
  /** What lateness of this grade is priced at. */
  late: number;
  next: { what: string; more: number; proved: boolean; lines: ProposedLine[] } | undefined;
  leftOut: LeftOut[];
  figures: (BuyingFigures & { offer: OfferTerms; lead: LeadTime }) | undefined;
}

export interface BuyingProposal {
  grades: GradeProposal[];
  orders: ProposedOrder[];
  /** The whole of it; undefined when nothing can be bought. */
  plan: BuyingPlan | undefined;
  rates: RateOfDay[];
}

export interface BuyingControl {
  secondsLeft: () => number;
  report: (done: number, of: number) => void;
}

interface Candidate {
  terms: OfferTerms;
  widthUm: number;
  lead: LeadTime;
  rate: number;
  buying: BuyingOffer;
}

/** Work of the integer program: the first may take long, each of those that it is compared with less. */
const NODES = 4000;
const NODES_COMPARED = 1000;

export function proposeBuying(state: BuyingState, control: BuyingControl): BuyingProposal {
  const found = state.needs.map((need) => ({ need, ...candidatesFor(need, state) }));
  const able = found.flatMap(({ candidates }) => candidates);
  const task = taskOf(state, found);
  const parts = partsOf(task).flatMap((part) => {
    const planned = planPurchases(part, {}, { nodes: NODES, secondsLeft: half(control) });
    return planned ? [{ task: part, plan: planned }] : [];
  });
  const plan = parts.length > 0 ? together(parts.map((part) => part.plan)) : undefined;
  const linesOf = (lines: readonly OrderLine[]) => lines.map((line) => proposedLine(line, able, state.today));
  const compared = comparedWith(parts, control);
  const lines = plan ? linesOf(plan.lines) : [];
  return {
    grades: found.map(({ need, candidates, leftOut }) => {
      const next = compared.get(need.grade);
      return {
        grade: need.grade,
        need,
        lines: lines.filter(({ offer }) => offer.grade === need.grade),
        offered: candidates.length > 0,
        late: plan?.lateOf.find(({ grade }) => grade === need.grade)?.cost ?? 0,
        next: next && { ...next, lines: linesOf(next.lines.filter(({ grade }) => grade === need.grade)) },
        leftOut,
        figures: figuresOf(need, candidates, state),
      };
    }),
    orders: plan ? ordersOf(plan, lines, state) : [],
    plan,
    rates: state.rates,
  };
}

function candidatesFor(need: GradeNeed, state: BuyingState): { candidates: Candidate[]; leftOut: LeftOut[] } {
  const candidates: Candidate[] = [];
  const leftOut: LeftOut[] = [];
  for (const offer of state.offers.filter(({ grade }) => grade === need.grade)) {
    const unknown = currencyWithoutRate(offer, state);
    const candidate = unknown === undefined ? candidateOf(offer, need, state) : undefined;
    if (offer.validUntil !== null && offer.validUntil < state.today) leftOut.push({ offer, why: 'lapsed' });
    else if (unknown !== undefined) leftOut.push({ offer, why: 'no rate', currency: unknown });
    else if (!candidate) leftOut.push({ offer, why: 'too narrow' });
    else candidates.push(candidate);
  }
  return { candidates, leftOut };
}

/** Of the offer's price, or of its supplier's amounts. */
function currencyWithoutRate(offer: OfferTerms, { suppliers, rates }: BuyingState): string | undefined {
  const supplier = suppliers.find(({ code }) => code === offer.supplier);
  const named = supplier && (supplier.minOrderValue !== null || supplier.containerCost !== null);
  return [offer.currency, ...(named ? [supplier.currency] : [])].find(
    (currency) => rateOf(rates, currency) === undefined,
  );
}

function candidateOf(terms: OfferTerms, need: GradeNeed, state: BuyingState): Candidate | undefined {
  const asked = state.strips.filter(({ grade }) => grade === need.grade);
  const widthUm =
    terms.widthUm ??
    bestOfRange(asked, {
      minUm: terms.widthMinUm as number,
      maxUm: terms.widthMaxUm as number,
      stepUm: terms.widthStepUm as number,
    });
  const factor = widthFactor(asked, widthUm, need.rollWidthUm ?? widthUm);
  if (factor === undefined) return undefined;
  const delays = state.delays.find(({ supplier }) => supplier === terms.supplier)?.days ?? [];
  const lead = leadTimeOf(terms, delays);
  const rate = rateOf(state.rates, terms.currency) as number;
  const rollM2 = areaM2(widthUm, terms.rollLengthMm);
  const rollKg = rollM2 * need.kgPerM2;
  const inMultiple = terms.multipleKg === null ? 1 : rollsInMultiple(terms.multipleKg, rollKg);
  const buying: BuyingOffer = {
    code: terms.code,
    supplier: terms.supplier,
    grade: terms.grade,
    rollKg,
    rollM2: factor * rollM2,
    pricePerKg: terms.pricePerKg * rate,
    breakFromKg: terms.breakFromKg ?? undefined,
    breakPricePerKg: terms.breakPricePerKg === null ? undefined : terms.breakPricePerKg * rate,
    minOrderKg: terms.minOrderKg,
    groupRolls: terms.multipleRolls ?? inMultiple,
    earliestDay: countedOnAfter(lead),
  };
  return { terms, widthUm, lead, rate, buying };
}

function taskOf(
  { today, settings, suppliers, rates }: BuyingState,
  found: readonly { need: GradeNeed; candidates: Candidate[] }[],
): BuyingTask {
  return {
    offers: found.flatMap(({ candidates }) => candidates.map(({ buying }) => buying)),
    grades: found.map(({ need, candidates }) => ({
      grade: need.grade,
      needs: need.net.weeks.map(({ monday, lackM2 }, w, weeks) => ({
        day: Math.max(0, daysBetween(today, monday)),
        areaM2: lackM2 - (weeks[w - 1]?.lackM2 ?? 0),
      })),
      latePerM2Day: latePrice(candidates),
    })),
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

/** A week late costs as much as the film. Default - verify: no source. */
function latePrice(candidates: readonly Candidate[]): number {
  const perM2 = candidates.map(({ buying }) => (buying.pricePerKg * buying.rollKg) / buying.rollM2);
  return perM2.length > 0 ? Math.min(...perM2) / 7 : 0;
}

type Compared = { what: string; more: number; proved: boolean; lines: OrderLine[] };

/** Half of what is left, so that what comes after is worked out too. */
function half({ secondsLeft }: BuyingControl): () => number {
  const until = secondsLeft() / 2;
  return () => secondsLeft() - (Number.isFinite(until) ? until : 0);
}

/** For each grade the cheapest way that differs in what matters: without an offer that is taken, or all of it in one line. */
function comparedWith(
  parts: readonly { task: BuyingTask; plan: BuyingPlan }[],
  control: BuyingControl,
): Map<string, Compared> {
  const best = new Map<string, Compared>();
  const ways = parts.flatMap((part) => waysFrom(part.plan).map((way) => ({ ...part, ...way })));
  ways.forEach(({ task, plan, grade, what, asked }, i) => {
    control.report(i + 1, ways.length + 1);
    if (control.secondsLeft() <= 0) return;
    // Each may take twice its share: most are done sooner.
    const until = control.secondsLeft() * (1 - 2 / Math.max(2, ways.length - i));
    const secondsLeft = () => control.secondsLeft() - (Number.isFinite(until) ? until : 0);
    const other = planPurchases(task, asked, { nodes: NODES_COMPARED, secondsLeft });
    // A grade that this offer alone can supply is not bought at all without it: that is no way to buy it.
    if (!other?.lines.some((line) => line.grade === grade)) return;
    const more = other.total - plan.total;
    if (more < (best.get(grade)?.more ?? Infinity))
      best.set(grade, { what, more, proved: other.proved, lines: other.lines });
  });
  return best;
}

function waysFrom({ lines }: BuyingPlan): { grade: string; what: string; asked: Asked }[] {
  const offers = new Map(lines.map(({ offer, grade }) => [offer, grade]));
  const several = [...new Set(lines.map(({ grade }) => grade))].filter(
    (grade) => lines.filter((line) => line.grade === grade).length > 1,
  );
  return [
    ...[...offers].map(([code, grade]) => ({
      grade,
      what: `without offer ${code}`,
      asked: { without: [code] },
    })),
    ...several.map((grade) => ({ grade, what: 'all in one order', asked: { oneOrderOf: grade } })),
  ];
}

function proposedLine(line: OrderLine, able: readonly Candidate[], today: IsoDate): ProposedLine {
  const { terms, widthUm, lead, rate, buying } = able.find(
    ({ buying: { code } }) => code === line.offer,
  ) as Candidate;
  const latest = addDays(today, line.arrivesDay - buying.earliestDay);
  return {
    offer: terms,
    widthUm,
    rolls: line.rolls,
    kg: line.kg,
    areaM2: line.rolls * areaM2(widthUm, terms.rollLengthMm),
    pricePerKg: line.pricePerKg,
    ownPrice: line.pricePerKg / rate,
    cost: line.cost,
    lead,
    // An offer that lapses before is used while it is valid, for the day wanted.
    orderBy: terms.validUntil !== null && terms.validUntil < latest ? terms.validUntil : latest,
    wantedOn: addDays(today, line.arrivesDay),
  };
}

/** In the order in which they have to be placed. An order goes out when the first of its lines has to. */
function ordersOf(plan: BuyingPlan, lines: readonly ProposedLine[], state: BuyingState): ProposedOrder[] {
  return plan.orders
    .map(({ supplier, arrivesDay, ...order }) => {
      const wantedOn = addDays(state.today, arrivesDay);
      const own = lines.filter((line) => line.offer.supplier === supplier && line.wantedOn === wantedOn);
      const orderBy = own.map((line) => line.orderBy).sort()[0] as IsoDate;
      const head = state.suppliers.find(({ code }) => code === supplier) as SupplierHead;
      return { ...order, supplier: head, lines: own, orderBy, wantedOn };
    })
    .sort((a, b) => a.orderBy.localeCompare(b.orderBy) || a.supplier.code.localeCompare(b.supplier.code));
}

/** By the offer of the lowest price. */
function figuresOf(
  need: GradeNeed,
  candidates: readonly Candidate[],
  { settings }: BuyingState,
): GradeProposal['figures'] {
  const cheapest = [...candidates].sort((a, b) => a.buying.pricePerKg - b.buying.pricePerKg)[0];
  const figures =
    cheapest &&
    buyingFigures({
      weeklyKg: need.net.weeks.map((week) => (week.ordersM2 + week.forecastM2) * need.kgPerM2),
      costPerOrder: settings.costPerOrder,
      holdingShare: settings.holdingShare,
      pricePerKg: cheapest.buying.pricePerKg,
      leadDays: cheapest.lead.days,
      leadSpreadDays: cheapest.lead.spreadDays,
      serviceFactor: settings.serviceFactor,
    });
  return figures && { ...figures, offer: cheapest.terms, lead: cheapest.lead };
}
