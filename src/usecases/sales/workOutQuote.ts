// What a yes costs: its film by the plan of all orders with the asked rolls less the plan without them, and its share of
// machine time, at the plant's own costs; the same from the marginal value of one more roll (the verified duals of the
// bound); the price of the day (workOutRush.ts). What another tolerance, width or day would save is the difference of proven bounds: two
// plans that are not proved best can differ by more than that. CPU heavy: call it in a worker, after the answer.
import { ASKED, type Evidence, type Kept, type SalesState } from '../../domain/answer.ts';
import { setMinutes } from '../../domain/filmMath.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { type Question, rollsTaken } from '../../domain/question.ts';
import type { CounterOffer, Quote, QuoteLine } from '../../domain/quote.ts';
import { areaM2, type IsoDate, mmToUm } from '../../domain/units.ts';
import { rearranged, wholeLine } from './askProblems.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { firstPlan, planned, readyOnOf, tryCut } from './askTrials.ts';
import { rushOf } from './workOutRush.ts';

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

/** `asked` is what the offers change, with its day; `evidence` the plan of the answer. undefined where nothing is slit, or where it cannot be made at all. */
export function workOutQuote(
  state: SalesState,
  kept: Kept,
  q: Question,
  shelf: number,
  control: PlanControl,
  asked: Question = q,
  evidence?: Evidence,
): Quote | undefined {
  if (q.rolls <= shelf) return undefined;
  const costing = { state, kept, q, shelf, control };
  const without = costed(costing, q, false);
  const withIt = costed(costing, q, true);
  if (!withIt || !made(withIt, q, shelf)) return undefined;
  const good = goodShare(state);
  const lines = linesOf(withIt, without, good);
  const total = lines.reduce((sum, { amount }) => sum + amount, 0);
  const rolls = q.rolls - shelf;
  const marginal = marginalOf(withIt, rolls / (good ?? 1), lines);
  const floor = Math.max(total, marginal ?? 0);
  return {
    currency: withIt.plan.currency,
    lines,
    planned: total,
    marginal,
    floor,
    rolls,
    perM2: floor / (rolls * areaM2(q.widthUm, q.lengthMm)),
    rush: q.dueOn ? rushFor(costing, withIt, evidence) : undefined,
    asAskedPerM2: perSquareMetre(costing, q, withIt, without),
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
  const time = machineTime(withIt);
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
      amount: time.setups,
      source:
        'its share, by area, of the set-ups and knife moves of the runs that it is cut in, at the machine hour',
    },
    {
      what: 'running',
      amount: time.running,
      source: 'its share, by area, of the sets and set changes of these runs, at the machine hour',
    },
  ];
  const sum = lines.reduce((total, { amount }) => total + amount, 0);
  const percent = (100 * (good ?? 1)).toLocaleString('en-GB', { maximumFractionDigits: 1 });
  const source =
    good === undefined
      ? 'no share of good rolls is entered at an order of this product, so no loss is expected'
      : `${percent} of 100 rolls come out good: mean of what is entered at the orders of this product`;
  return [
    ...lines,
    { what: 'rolls that do not come out good', amount: Math.max(0, sum) * (1 / (good ?? 1) - 1), source },
  ];
}

/** Machine time of the asked rolls: of each run that makes some, their part by width. */
function machineTime({ plan, document }: Evidence): { setups: number; running: number } {
  const shares = plan.runs.map((run) => {
    const made = run.strips.filter(({ waste }) => !waste);
    const width = (strips: typeof made) => strips.reduce((sum, { fromMm, toMm }) => sum + toMm - fromMm, 0);
    const share = width(made.filter(({ order }) => order === ASKED)) / Math.max(1e-9, width(made));
    const slitter = document.slitters.find(({ id }) => id === run.slitter);
    const running = slitter ? run.sets * minutesPerSet(slitter, run.lengthM) : 0;
    const perMinute = (share * (slitter?.costPerHour ?? 0)) / 60;
    return { setups: Math.max(0, run.minutes - running) * perMinute, running: running * perMinute };
  });
  const sum = (of: 'setups' | 'running') => shares.reduce((total, one) => total + one[of], 0);
  return { setups: sum('setups'), running: sum('running') };
}

const minutesPerSet = (slitter: ProblemDocument['slitters'][number], lengthM: number): number =>
  setMinutes({
    lengthM,
    metresPerMinute: slitter.metresPerMinute ?? Number.POSITIVE_INFINITY,
    rampUpSeconds: slitter.rampUpSeconds ?? 0,
    rampDownSeconds: slitter.rampDownSeconds ?? 0,
  }) + (slitter.minutesPerSetChange ?? 0);

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

/** Film and running of all rolls that are started, at the margin, and the same set-ups. */
function marginalOf({ plan }: Evidence, rolls: number, lines: readonly QuoteLine[]): number | undefined {
  const one = plan.marginal.find(({ order }) => order === ASKED);
  if (!one || plan.cost.short > 0) return undefined;
  const setups = lines.find(({ what }) => what === 'set-ups')?.amount ?? 0;
  return one.costPerRoll * rolls + Math.max(0, setups);
}

function rushFor(costing: Costing, quote: Evidence, answer: Evidence | undefined) {
  const { kept, q, shelf } = costing;
  const withoutDay = costed(costing, { ...q, dueOn: undefined }, true);
  return withoutDay && rushOf({ kept, q, shelf, withDay: { answer, quote }, withoutDay });
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
  const changed = { ...costing, shelf: same };
  const perM2 = trial.holds
    ? perSquareMetre(changed, question, costed(changed, question, true), costed(changed, question, false))
    : undefined;
  return { what, question, possible: trial.holds, readyOn: trial.holds ? readyOn : undefined, perM2 };
}

/** What the asked rolls add at least to the cost of all orders, per m2 that the customer takes at least. */
function perSquareMetre(
  { shelf }: Costing,
  question: Question,
  withIt: Evidence | undefined,
  without: Evidence | undefined,
): number | undefined {
  if (!withIt || withIt.plan.cost.short > 0) return undefined;
  const rolls = Math.max(1, rollsTaken(question).minRolls - shelf);
  const more = withIt.plan.bound.cost - (without?.plan.bound.cost ?? 0);
  return more / (rolls * areaM2(question.widthUm, question.lengthMm));
}
