// What to buy, grade by grade: the net requirement against the offers that are valid, by planner/purchasePlan.ts; beside it
// the next best way and what it costs more, and the textbook figures. Offers that have lapsed are named, never proposed.
import type { Knex } from 'knex';
import { type BuyingFigures, buyingFigures } from '../domain/buyingFigures.ts';
import { addDays, areaM2, daysBetween, type IsoDate } from '../domain/units.ts';
import type { BuyingCosts, BuyingOffer } from '../planner/purchaseColumns.ts';
import { type BuyingPlan, planPurchases } from '../planner/purchasePlan.ts';
import { type OfferTerms, offerTerms, type ProductStrips, stripsAsked } from '../store/buyingOffers.ts';
import { filmNeeds, type GradeNeed } from './filmNeeds.ts';
import { bestOfRange, widthFactor } from './widthSuits.ts';

export interface BuyingSettings {
  weeks: number;
  costPerOrder: number;
  holdingShare: number;
  serviceFactor: number;
}

export interface ProposedLine {
  offer: OfferTerms;
  widthUm: number;
  rolls: number;
  kg: number;
  areaM2: number;
  pricePerKg: number;
  cost: number;
  orderBy: IsoDate;
  wantedOn: IsoDate;
}

export interface Proposal {
  grade: string;
  need: GradeNeed;
  /** Undefined: no offer is valid. */
  plan: BuyingPlan | undefined;
  lines: ProposedLine[];
  next: { what: string; plan: BuyingPlan; lines: ProposedLine[] } | undefined;
  lapsed: OfferTerms[];
  /** Offers too narrow for some strip that is ordered. */
  narrow: OfferTerms[];
  figures: BuyingFigures | undefined;
}

interface Candidate {
  terms: OfferTerms;
  widthUm: number;
  buying: BuyingOffer;
}

/** Proposals for the grades that have to be bought within the weeks asked for. */
export async function proposeBuying(db: Knex, today: IsoDate, settings: BuyingSettings): Promise<Proposal[]> {
  const needs = await filmNeeds(db, today, settings.weeks);
  const [terms, strips] = [await offerTerms(db), await stripsAsked(db)];
  return needs.grades
    .filter(({ buyM2 }) => buyM2 > 1e-3)
    .map((need) => {
      const offers = terms.filter(({ grade }) => grade === need.grade);
      const asked = strips.filter(({ grade }) => grade === need.grade);
      return proposalFor(need, offers, asked, today, settings);
    });
}

function proposalFor(
  need: GradeNeed,
  offers: readonly OfferTerms[],
  asked: readonly ProductStrips[],
  today: IsoDate,
  settings: BuyingSettings,
): Proposal {
  const valid = offers.filter(({ validUntil }) => validUntil === null || validUntil >= today);
  const candidates = valid.map((terms) => candidateOf(terms, need, asked));
  const able = candidates.filter((one) => one !== undefined);
  const needed = need.net.weeks.map(({ monday, netM2 }) => ({
    day: Math.max(0, daysBetween(today, monday)),
    areaM2: netM2,
  }));
  const costs = costsOf(settings, able);
  const offered = able.map(({ buying }) => buying);
  const plan = planPurchases(needed, offered, costs);
  const linesOf = (one: BuyingPlan): ProposedLine[] =>
    one.lines.map((line) => proposedLine(line, able, today));
  const next = plan && nextBest(plan, (some, only) => planPurchases(needed, some, costs, only), offered);
  const cheapest = [...able].sort((a, b) => a.terms.pricePerKg - b.terms.pricePerKg)[0]?.terms;
  return {
    grade: need.grade,
    need,
    plan,
    lines: plan ? linesOf(plan) : [],
    next: next && { ...next, lines: linesOf(next.plan) },
    lapsed: offers.filter((one) => !valid.includes(one)),
    narrow: valid.filter((_, i) => candidates[i] === undefined),
    figures: cheapest && figuresOf(need, cheapest, settings),
  };
}

function candidateOf(
  terms: OfferTerms,
  need: GradeNeed,
  asked: readonly ProductStrips[],
): Candidate | undefined {
  const widthUm =
    terms.widthUm ??
    bestOfRange(asked, {
      minUm: terms.widthMinUm as number,
      maxUm: terms.widthMaxUm as number,
      stepUm: terms.widthStepUm as number,
    });
  const factor = widthFactor(asked, widthUm, need.rollWidthUm ?? widthUm);
  if (factor === undefined) return undefined;
  const rollM2 = areaM2(widthUm, terms.rollLengthMm);
  const buying: BuyingOffer = {
    code: terms.code,
    rollKg: rollM2 * need.kgPerM2,
    rollM2: factor * rollM2,
    pricePerKg: terms.pricePerKg,
    breakFromKg: terms.breakFromKg ?? undefined,
    breakPricePerKg: terms.breakPricePerKg ?? undefined,
    minOrderKg: terms.minOrderKg,
    multipleKg: terms.multipleKg ?? undefined,
    multipleRolls: terms.multipleRolls ?? undefined,
    earliestDay: terms.leadTimeDays + (terms.leadSpreadDays ?? 0),
  };
  return { terms, widthUm, buying };
}

/** A week late costs as much as the film. Default - verify: no source. */
function costsOf(settings: BuyingSettings, able: readonly Candidate[]): BuyingCosts {
  const perM2 = able.map(({ buying }) => (buying.pricePerKg * buying.rollKg) / buying.rollM2);
  return {
    perOrder: settings.costPerOrder,
    holdingShare: settings.holdingShare,
    latePerM2Day: perM2.length > 0 ? Math.min(...perM2) / 7 : 0,
  };
}

type Solve = (offers: BuyingOffer[], only?: { oneOrder?: boolean }) => BuyingPlan | undefined;

/** The cheapest way that differs in what matters: without one of the offers taken, or all in one order. */
function nextBest(
  plan: BuyingPlan,
  solve: Solve,
  offers: readonly BuyingOffer[],
): { what: string; plan: BuyingPlan } | undefined {
  const taken = [...new Set(plan.lines.map(({ offer }) => offer))];
  const ways = taken.map((code) => ({
    what: `without offer ${code}`,
    plan: solve(offers.filter((one) => one.code !== code)),
  }));
  if (plan.lines.length > 1)
    ways.push({ what: 'all in one order', plan: solve([...offers], { oneOrder: true }) });
  const able = ways.flatMap((way) => (way.plan ? [{ ...way, plan: way.plan }] : []));
  return able.sort((a, b) => a.plan.total - b.plan.total)[0];
}

function proposedLine(
  line: BuyingPlan['lines'][number],
  able: readonly Candidate[],
  today: IsoDate,
): ProposedLine {
  const { terms, widthUm, buying } = able.find(({ buying: { code } }) => code === line.offer) as Candidate;
  const latest = addDays(today, line.arrivesDay - buying.earliestDay);
  return {
    offer: terms,
    widthUm,
    rolls: line.rolls,
    kg: line.kg,
    areaM2: line.rolls * areaM2(widthUm, terms.rollLengthMm),
    pricePerKg: line.pricePerKg,
    cost: line.cost,
    // An offer that lapses before is used while it is valid, for the day wanted.
    orderBy: terms.validUntil !== null && terms.validUntil < latest ? terms.validUntil : latest,
    wantedOn: addDays(today, line.arrivesDay),
  };
}

function figuresOf(need: GradeNeed, offer: OfferTerms, settings: BuyingSettings): BuyingFigures | undefined {
  return buyingFigures({
    weeklyKg: need.net.weeks.map((week) => (week.ordersM2 + week.forecastM2) * need.kgPerM2),
    costPerOrder: settings.costPerOrder,
    holdingShare: settings.holdingShare,
    pricePerKg: offer.pricePerKg,
    leadDays: offer.leadTimeDays,
    leadSpreadDays: offer.leadSpreadDays ?? 0,
    serviceFactor: settings.serviceFactor,
  });
}
