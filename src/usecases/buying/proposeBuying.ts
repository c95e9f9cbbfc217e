// What to buy: the net requirement of all grades against the offers that can be taken, in one optimisation
// (planner/purchasePlan.ts); beside each grade what its film is cut into, the next best way and what it costs more, and the
// textbook figures. Offers that cannot be taken are named with the reason, never proposed. CPU heavy: call it in a worker.
import { type BuyingFigures, buyingFigures } from '../../domain/buyingFigures.ts';
import type { LeadTime } from '../../domain/leadTime.ts';
import { keepingShare } from '../../domain/timeKept.ts';
import { addDays, areaM2, type IsoDate } from '../../domain/units.ts';
import type { BuyingPlan, OrderLine, PlacedOrder } from '../../planner/purchase/purchaseCount.ts';
import type { SetOfFilm } from '../../planner/purchase/purchaseCutting.ts';
import { type Asked, planPurchases, together } from '../../planner/purchase/purchasePlan.ts';
import { type BuyingTask, partsOf } from '../../planner/purchase/purchaseTask.ts';
import type { OfferTerms, SupplierHead } from '../../store/buyingOffers.ts';
import type { RateOfDay } from '../../store/rates.ts';
import type { BuyingState } from './buyingState.ts';
import { buyingTask, type Candidate, gradeTasks, type LeftOut } from './buyingTask.ts';
import type { GradeNeed } from './filmNeeds.ts';

export type { LeftOut, SetOfFilm };

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

export interface GradeProposal {
  grade: string;
  need: GradeNeed;
  lines: ProposedLine[];
  /** What film of these widths is cut into: from the house, on the way and bought. */
  sets: SetOfFilm[];
  /** Some offer can be taken; without lines it costs less to wait for film on the way. */
  offered: boolean;
  /** What lateness of this grade is priced at. */
  late: number;
  next: { what: string; more: number; proved: boolean; lines: ProposedLine[] } | undefined;
  /** There was no time to look for another way. */
  untried: boolean;
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

/** Work of the integer program: the first may take long, each of those that it is compared with less. */
const NODES = 4000;
const NODES_COMPARED = 1000;
/** Of the time that is left so much is kept for what comes after. */
const HALF = 0.5;

export function proposeBuying(state: BuyingState, control: BuyingControl): BuyingProposal {
  const found = gradeTasks(state);
  const able = found.flatMap(({ candidates }) => candidates);
  const parts = partsOf(buyingTask(state, found)).flatMap((part) => {
    const planned = planPurchases(
      part,
      {},
      { nodes: NODES, secondsLeft: keepingShare(control.secondsLeft, HALF) },
    );
    return planned ? [{ task: part, plan: planned }] : [];
  });
  const plan = parts.length > 0 ? together(parts.map((part) => part.plan)) : undefined;
  const linesOf = (lines: readonly OrderLine[]) => lines.map((line) => proposedLine(line, able, state.today));
  const { best: compared, untried } = comparedWith(parts, control);
  const lines = plan ? linesOf(plan.lines) : [];
  const grades = found.map(({ need, candidates, leftOut }) => {
    const next = compared.get(need.grade);
    const own = lines.filter(({ offer }) => offer.grade === need.grade);
    return {
      ...{ grade: need.grade, need, lines: own, leftOut, offered: candidates.length > 0 },
      sets: setsOf(plan, need.grade, own),
      late: plan?.lateOf.find(({ grade }) => grade === need.grade)?.cost ?? 0,
      untried: untried.has(need.grade),
      next: next && { ...next, lines: linesOf(next.lines.filter(({ grade }) => grade === need.grade)) },
      figures: figuresOf(need, candidates, state),
    };
  });
  return {
    grades: grades.filter(({ need, lines: own }) => own.length > 0 || need.buyM2 > 1e-3),
    orders: plan ? ordersOf(plan, lines, state) : [],
    plan,
    rates: state.rates,
  };
}

/** The sets into which film of the widths that are bought is cut, the same of several days as one, most film first. */
function setsOf(plan: BuyingPlan | undefined, grade: string, lines: readonly ProposedLine[]): SetOfFilm[] {
  const bought = new Set(lines.map(({ widthUm }) => widthUm));
  const found = new Map<string, SetOfFilm>();
  for (const { day, filmM2, ...set } of plan?.sets ?? []) {
    if (set.grade !== grade || !bought.has(set.webUm)) continue;
    const key = JSON.stringify(set);
    const before = found.get(key);
    found.set(key, {
      ...set,
      day: Math.min(day, before?.day ?? day),
      filmM2: filmM2 + (before?.filmM2 ?? 0),
    });
  }
  return [...found.values()].sort((a, b) => a.webUm - b.webUm || b.filmM2 - a.filmM2);
}

type Compared = { what: string; more: number; proved: boolean; lines: OrderLine[] };

/** For each grade the cheapest way that differs in what matters: without an offer that is taken, or all of it in one line. */
function comparedWith(
  parts: readonly { task: BuyingTask; plan: BuyingPlan }[],
  control: BuyingControl,
): { best: Map<string, Compared>; untried: Set<string> } {
  const best = new Map<string, Compared>();
  const untried = new Set<string>();
  const ways = parts.flatMap((part) => waysFrom(part.plan).map((way) => ({ ...part, ...way })));
  ways.forEach(({ task, plan, grade, what, asked }, i) => {
    control.report(i + 1, ways.length + 1);
    if (control.secondsLeft() <= 0) {
      untried.add(grade);
      return;
    }
    // Each may take twice its share: most are done sooner.
    const secondsLeft = keepingShare(control.secondsLeft, 1 - 2 / Math.max(2, ways.length - i));
    const other = planPurchases(
      task,
      { ...asked, from: plan.lines },
      { nodes: NODES_COMPARED, secondsLeft, prove: false },
    );
    // A grade that this offer alone can supply is not bought at all without it: that is no way to buy it.
    if (!other?.lines.some((line) => line.grade === grade)) {
      if (!other && secondsLeft() <= 0) untried.add(grade);
      return;
    }
    const more = other.total - plan.total;
    if (more < (best.get(grade)?.more ?? Infinity))
      best.set(grade, { what, more, proved: other.proved, lines: other.lines });
  });
  return { best, untried };
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
  const { terms, lead, rate, buying } = able.find(
    ({ buying: { code, widthUm } }) => code === line.offer && widthUm === line.widthUm,
  ) as Candidate;
  const { widthUm } = line;
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
