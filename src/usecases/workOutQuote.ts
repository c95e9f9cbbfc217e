// What a yes costs: the plan of all orders with the asked rolls less the plan without them, at the plant's own costs; the
// same from the marginal value of one more roll (the verified duals of the bound); the price of the day; and what another
// tolerance, width or day would make of it. CPU heavy: call it in a worker, after the answer.
import { ASKED, type Evidence, type Kept, type SalesState } from '../domain/answer.ts';
import type { Plan, PlanControl } from '../domain/plan.ts';
import type { ProblemDocument } from '../domain/problemDocument.ts';
import { type Question, rollsTaken } from '../domain/question.ts';
import type { CounterOffer, Quote, QuoteLine } from '../domain/quote.ts';
import { areaM2, type IsoDate, mmToUm } from '../domain/units.ts';
import { rearranged, wholeLine } from './askProblems.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { firstPlan, planned, readyOnOf, tryCut } from './askTrials.ts';

/** Each plan of a quote is worked on so far; counted, so that the same question has the same price. */
const PATIENCE = firstPlan(6);
const TOLERANCE_PCT = 10;
/** Neighbouring widths are at most so much narrower or wider. */
const NEIGHBOUR_SHARE = 0.2;

interface Costing {
  state: SalesState;
  kept: Kept;
  q: Question;
  shelf: number;
  control: PlanControl;
}

/** `asked` is what the offers change, with its day. undefined where nothing is slit, or where it cannot be made at all. */
export function workOutQuote(
  state: SalesState,
  kept: Kept,
  q: Question,
  shelf: number,
  control: PlanControl,
  asked: Question = q,
): Quote | undefined {
  if (q.rolls <= shelf) return undefined;
  const costing = { state, kept, q, shelf, control };
  const without = costed(costing, q, false);
  const withIt = costed(costing, q, true);
  if (!withIt || !made(withIt, q, shelf)) return undefined;
  const lines = linesOf(withIt, without, goodShare(state));
  const total = lines.reduce((sum, { amount }) => sum + amount, 0);
  const rolls = q.rolls - shelf;
  const marginal = marginalOf(withIt, rolls, lines);
  const floor = Math.max(total, marginal ?? 0);
  return {
    currency: withIt.plan.currency,
    lines,
    planned: total,
    marginal,
    floor,
    rolls,
    perM2: floor / (rolls * areaM2(q.widthUm, q.lengthMm)),
    rush: q.dueOn ? rushOf(costing, withIt) : undefined,
    offers: offersOf({ ...costing, q: asked }),
  };
}

/** The plan of all orders at the plant's costs, with or without the asked rolls. */
function costed({ state, kept, shelf, control }: Costing, q: Question, withIt: boolean) {
  const cut = cutsFor(state, kept, q.dueOn).at(-1) as Cut;
  const all = rearranged(state, kept, cut, q, withIt ? [wholeLine(q, shelf)] : []);
  if (all.orders.length === 0) return undefined;
  return planned({ ...all, costs: state.document.costs }, PATIENCE(control));
}

const made = ({ plan }: Evidence, q: Question, shelf: number): boolean =>
  (plan.orders.find(({ id }) => id === ASKED)?.planned ?? 0) >= Math.max(1, rollsTaken(q).minRolls - shelf);

function linesOf(withIt: Evidence, without: Evidence | undefined, good: number | undefined): QuoteLine[] {
  const more = (of: (one: Evidence) => number) => of(withIt) - (without ? of(without) : 0);
  const bought = more(boughtFilm);
  const lines: QuoteLine[] = [
    {
      what: 'film',
      amount: more(({ plan }) => plan.cost.material),
      source: 'film from stock and coating: the plan of all orders with it, less the plan without it',
    },
    ...(Math.abs(bought) > 0.005
      ? [
          {
            what: 'bought film' as const,
            amount: bought,
            source: 'film to buy, as far as it is used: the same two plans, at the price of the offer',
          },
        ]
      : []),
    {
      what: 'set-ups',
      amount: more(({ plan }) => plan.cost.setups),
      source: 'set-ups and knife moves at the machine hour: the same two plans',
    },
    {
      what: 'running',
      amount: more(({ plan }) => plan.cost.running),
      source: 'machine time of its sets at the machine hour: the same two plans',
    },
  ];
  if (good === undefined || good >= 1) return lines;
  const sum = lines.reduce((total, { amount }) => total + amount, 0);
  const percent = (100 * good).toLocaleString('en-GB', { maximumFractionDigits: 1 });
  const source = `${percent} of 100 rolls come out good: mean of what is entered at the orders of this product`;
  return [...lines, { what: 'rolls that do not come out good', amount: sum * (1 / good - 1), source }];
}

/** Of the film that is bought, what the runs take; the rest is stock. */
function boughtFilm({ plan, document }: Evidence): number {
  return plan.purchases.reduce((sum, purchase) => {
    const lengthM = document.offers?.find(({ id }) => id === purchase.offer)?.rollLengthM ?? 1;
    const used = plan.coating
      .filter(({ roll }) => roll.replace(/#\d+$/, '') === purchase.offer)
      .reduce((metres, step) => metres + step.lengthM + lossM(document), 0);
    const share = Math.min(1, used / (lengthM * purchase.rolls));
    return sum + purchase.cost * share;
  }, 0);
}

const lossM = (document: ProblemDocument): number => document.products[0]?.coating?.lossM ?? 0;

/** Mean share of good rolls of the product's orders, by rolls; undefined where none says. */
function goodShare({ document }: SalesState): number | undefined {
  const said = document.orders.filter(({ goodRollPct }) => goodRollPct !== undefined);
  const rolls = said.reduce((sum, one) => sum + one.rolls, 0);
  return rolls > 0
    ? said.reduce((sum, one) => sum + one.rolls * (one.goodRollPct ?? 100), 0) / rolls / 100
    : undefined;
}

/** Film and running at the margin, and the same set-ups. */
function marginalOf({ plan }: Evidence, rolls: number, lines: readonly QuoteLine[]): number | undefined {
  const one = plan.marginal.find(({ order }) => order === ASKED);
  if (!one || plan.cost.short > 0) return undefined;
  const setups = lines.find(({ what }) => what === 'set-ups')?.amount ?? 0;
  return one.costPerRoll * rolls + Math.max(0, setups);
}

const paid = (plan: Plan): number => plan.cost.total - plan.cost.short - plan.cost.purchases;

/** All that the day costs, late orders included; never below nothing. */
function rushOf(costing: Costing, withDay: Evidence): number | undefined {
  const q = { ...costing.q, dueOn: undefined };
  const noDay = costed(costing, q, true);
  if (!noDay || !made(noDay, q, costing.shelf)) return undefined;
  const cost = (one: Evidence) => paid(one.plan) + boughtFilm(one);
  return Math.max(0, cost(withDay) - cost(noDay));
}

function offersOf(costing: Costing): CounterOffer[] {
  const { q } = costing;
  const wider = {
    ...q,
    overPct: Math.max(q.overPct, TOLERANCE_PCT),
    underPct: Math.max(q.underPct, TOLERANCE_PCT),
  };
  const tolerance = rollsTaken(wider).minRolls < rollsTaken(q).minRolls;
  return [
    ...(tolerance ? [offer(costing, 'tolerance', wider)] : []),
    ...neighbours(costing).map((widthUm) => offer(costing, 'width', { ...q, widthUm })),
    ...(q.dueOn ? [offer(costing, 'date', { ...q, dueOn: undefined })] : []),
  ];
}

/** The nearest catalogue widths below and above, of the same finished length. */
function neighbours({ state, q }: Costing): Question['widthUm'][] {
  const widths = (state.document.fillers ?? [])
    .filter(({ lengthM }) => Math.round(lengthM * 1000) === q.lengthMm)
    .map(({ widthMm }) => mmToUm(widthMm))
    .filter((width) => width !== q.widthUm && Math.abs(width - q.widthUm) <= NEIGHBOUR_SHARE * q.widthUm)
    .sort((a, b) => a - b);
  const below = widths.filter((width) => width < q.widthUm).at(-1);
  const above = widths.find((width) => width > q.widthUm);
  return [below, above].filter((width) => width !== undefined);
}

function offer(costing: Costing, what: CounterOffer['what'], question: Question): CounterOffer {
  const { state, kept, shelf, control } = costing;
  const same = what === 'width' ? 0 : shelf;
  const cut = cutsFor(state, kept, question.dueOn).at(-1) as Cut;
  const asked = { state, kept, q: question, control };
  const trial = tryCut(cut, [wholeLine(question, same)], asked, PATIENCE);
  const readyOn = trial.evidence && (readyOnOf(trial.evidence.plan, ASKED) as IsoDate | undefined);
  const perM2 = trial.holds ? perSquareMetre({ ...costing, shelf: same }, question) : undefined;
  return { what, question, possible: trial.holds, readyOn: trial.holds ? readyOn : undefined, perM2 };
}

/** What the asked rolls add to the cost of all orders, per m2 of what is made of them. */
function perSquareMetre(costing: Costing, question: Question): number | undefined {
  const withIt = costed(costing, question, true);
  const without = costed(costing, question, false);
  const rolls = withIt?.plan.orders.find(({ id }) => id === ASKED)?.planned ?? 0;
  if (!withIt || rolls === 0) return undefined;
  const cost = (one: Evidence | undefined) =>
    one ? paid(one.plan) - one.plan.cost.late + boughtFilm(one) : 0;
  return (cost(withIt) - cost(without)) / (rolls * areaM2(question.widthUm, question.lengthMm));
}
