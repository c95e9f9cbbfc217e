// Can we make it? The whole way to an answer, given what the existing orders keep: the shelf; then cut by cut, from coated
// rolls to film that must be bought, a plan that makes it in time beside them. Where there is none, the proof that there can
// be none, how many can be made by then, and when the rest. CPU heavy: call it in a worker. Same state and question,
// same answer, unless time cuts it short; then it says `open` where it knows neither yes nor no.
import {
  type Answer,
  ASKED,
  ASKED_LATER,
  type Certificate,
  type Kept,
  type SalesState,
  TO_COME,
} from '../../domain/answer.ts';
import { acceptedRolls } from '../../domain/filmMath.ts';
import type { Plan, PlanControl } from '../../domain/plan.ts';
import { type Question, rollsTaken } from '../../domain/question.ts';
import { addDays, areaM2, daysBetween, type IsoDate } from '../../domain/units.ts';
import { keptInTime } from './askBaseline.ts';
import { limitsOf, waitsForTheSlitter } from './askLimits.ts';
import { type AskedLine, wholeLine } from './askProblems.ts';
import { type Proof, prove } from './askProof.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { firstPlan, type Patience, readyOnOf, type Trial, type TryCut, tryCut } from './askTrials.ts';

export interface WorkedOut {
  answer: Answer;
  /** What the existing orders keep without the question: good for every question on the same state. */
  kept: Kept;
}

/** How far plans and proofs are worked on; a proof is worth more of it. */
export interface Patiences {
  plan: Patience;
  proof: Patience;
}
const QUICK: Patiences = { plan: firstPlan(0), proof: firstPlan(40) };
/** Fewer and fewer rolls are tried by the day, so many times. */
const MOST_PARTS = 4;

export function workOut(
  state: SalesState,
  q: Question,
  known: Kept | undefined,
  control: PlanControl,
  patience: Patiences = QUICK,
): WorkedOut {
  const kept = known ?? keptInTime(state, undefined, control, patience.plan);
  const finished = finishedOnly(state, kept, q);
  if (finished) return { kept, answer: finished };
  const start = startOf(state, kept, q);
  const shelf = start.fromShelf.length;
  const trial: TryCut = (cut, lines, asking) => tryCut(cut, lines, asking, patience.plan);
  const asking: Thinking = { state, kept, q, shelf, control, patience, tryCut: trial };
  const answer = inTime(asking) ?? notInTime(asking);
  return { kept, answer: { ...start, ...answer } };
}

/** A question on its way, beside what is kept; how a cut is tried is the asker's choice. */
export interface Asking {
  state: SalesState;
  kept: Kept;
  q: Question;
  /** Rolls that lie finished on the shelf. */
  shelf: number;
  control: PlanControl;
  tryCut: TryCut;
}
interface Thinking extends Asking {
  patience: Patiences;
}
type Found = Pick<Answer, 'verdict' | 'limits'> & Partial<Answer>;
type Start = Omit<Answer, 'verdict'>;

/** What is known before anything is planned for the question. */
export function startOf(state: SalesState, kept: Kept | undefined, q: Question): Start {
  const fromShelf = shelfFor(state, q);
  const toSlit = q.rolls - fromShelf.length;
  const troubled = kept ? troubledIn(state, kept) : [];
  return { question: q, fromShelf, toSlit, limits: [], wouldDisplace: [], troubled };
}

/** The answer where everything lies on the shelf. */
export function finishedOnly(state: SalesState, kept: Kept | undefined, q: Question): Answer | undefined {
  const start = startOf(state, kept, q);
  return start.toSlit === 0 ? { ...start, verdict: 'finished', readyOn: state.today } : undefined;
}

/** Finished rolls that are exactly what is asked for, no more of them than that. */
function shelfFor({ finished }: SalesState, q: Question): string[] {
  return finished
    .filter((roll) => roll.widthUm === q.widthUm && roll.lengthMm === q.lengthMm)
    .slice(0, q.rolls)
    .map(({ code }) => code);
}

function troubledIn({ document }: SalesState, kept: Kept): string[] {
  return document.orders.flatMap(({ id, rolls, dueOn, overPct = 0, underPct = 0 }) => {
    const one = kept.orders.find((order) => order.id === id);
    if (!one) return [`${id} is not made at all`];
    if (one.by && dueOn && one.by > dueOn) return [`${id} is late: ${one.by} instead of ${dueOn}`];
    const { minRolls } = acceptedRolls(rolls, overPct, underPct);
    return one.rolls < minRolls ? [`${id} is short: ${one.rolls} of ${rolls} rolls`] : [];
  });
}

/** The first cut whose plan holds by the day asked for. */
export function inTime(asking: Asking): Found | undefined {
  const { state, kept, q, shelf, control } = asking;
  const line = wholeLine(q, shelf);
  const neededM2 = areaNeeded(state, kept, q, line.least);
  for (const cut of cutsFor(state, kept, q.dueOn)) {
    if (control.secondsLeft() <= 0) return undefined;
    if (cut.offers.length === 0 && areaOf(cut) < neededM2) continue;
    const trial = asking.tryCut(cut, [line], asking);
    if (trial.holds) return yes(cut, trial, q, state.today);
  }
  return undefined;
}

const areaOf = ({ rolls }: Cut): number =>
  rolls.reduce((sum, { widthMm, lengthM, count = 1 }) => sum + (count * widthMm * lengthM) / 1000, 0);

/** What is kept and what is asked, before any trim: a cut with less film than that cannot be enough. */
function areaNeeded({ document }: SalesState, kept: Kept, q: Question, rolls: number): number {
  const sizes = new Map(document.orders.map(({ id, widthMm, lengthM }) => [id, (widthMm * lengthM) / 1000]));
  const others = kept.orders.reduce((sum, one) => sum + one.rolls * (sizes.get(one.id) ?? 0), 0);
  return others + rolls * areaM2(q.widthUm, q.lengthMm);
}

function yes(cut: Cut, { evidence }: Trial, q: Question, today: IsoDate): Found {
  const readyOn = evidence && readyOnOf(evidence.plan, ASKED);
  const verdict = evidence ? cutFrom(evidence.plan) : cut.verdict;
  return {
    verdict,
    limits: [],
    ...(evidence ? { evidence } : {}),
    ...(readyOn ? { readyOn: readyOn as IsoDate } : {}),
    ...(verdict === 'buy' ? { orderBy: lastDayToOrder(q, readyOn, today) } : {}),
  };
}

/** What the asked strips are really cut from, also where it is bought or coated for others as well. */
function cutFrom(plan: Plan): Cut['verdict'] {
  const ours = plan.runs.filter(({ strips }) => strips.some(({ order }) => order === ASKED));
  const rolls = new Set(ours.flatMap(({ from }) => from.map(({ roll }) => roll)));
  const offers = plan.purchases.map(({ offer }) => offer);
  const bought = (roll: string) => roll.endsWith(TO_COME) || offers.includes(roll.replace(/#\d+$/, ''));
  if ([...rolls].some(bought)) return 'buy';
  return plan.coating.some(({ roll }) => rolls.has(roll)) ? 'coat' : 'coated';
}

/** Days to spare before the day asked for are days in which film can still be ordered. */
function lastDayToOrder(q: Question, readyOn: string | undefined, today: IsoDate): IsoDate {
  if (!q.dueOn || !readyOn) return today;
  return addDays(today, Math.max(0, daysBetween(readyOn as IsoDate, q.dueOn)));
}

/** Not by the day: why, how many by then, and when all of it. */
function notInTime(asking: Thinking): Found {
  const { state, kept, q, shelf, control, patience } = asking;
  const cut = cutsFor(state, kept, q.dueOn).at(-1) as Cut;
  const line = wholeLine(q, shelf);
  const proof = prove(state, kept, cut, q, line, control, patience.proof);
  const later = q.dueOn ? inTime({ ...asking, q: { ...q, dueOn: undefined } }) : undefined;
  const part = later && partByThen(asking, proof, later);
  const tried = later?.evidence;
  const limits = limitsOf(state, proof.certificate, q, line.rolls, tried);
  if (q.dueOn && !proof.certificate && later?.readyOn) limits.unshift(waitsForTheSlitter(q, later.readyOn));
  const certificate = proof.certificate ? { certificate: proof.certificate } : {};
  if (part) return { ...part, limits, ...certificate };
  if (later) return { ...later, verdict: 'later', limits, ...certificate };
  const never = q.dueOn ? provedForGood(asking, proof) : proof.certificate;
  if (never) return { verdict: 'no', limits, certificate: never, ...possibleOf(proof) };
  return { verdict: 'open', limits, ...certificate };
}

const possibleOf = ({ possible }: Proof) => (possible === undefined ? {} : { possible });

/** A no for the day asked for is a no for good only where all film that can ever be had is too little. */
function provedForGood(
  { state, kept, q, shelf, control, patience }: Thinking,
  proof: Proof,
): Certificate | undefined {
  if (proof.certificate && proof.certificate.by === undefined) return proof.certificate;
  const cut = cutsFor(state, kept, undefined).at(-1) as Cut;
  const line = { ...wholeLine(q, shelf), by: undefined };
  return prove(state, kept, cut, q, line, control, patience.proof).certificate;
}

/** The most rolls that are found by the day, the rest as soon as can be. */
function partByThen(asking: Asking, proof: Proof, later: Found): Found | undefined {
  const { state, kept, q, shelf, control } = asking;
  if (!q.dueOn) return undefined;
  const cut = cutsFor(state, kept, undefined).at(-1) as Cut;
  const all = q.rolls - shelf;
  let rolls = Math.min(proof.possible ?? all - 1, all - (proof.certificate?.missingRolls ?? 1));
  for (let tries = 0; rolls > 0 && tries < MOST_PARTS && control.secondsLeft() > 0; tries++) {
    const trial = asking.tryCut(cut, split(q, shelf, rolls, q.dueOn), asking);
    if (trial.holds && trial.evidence) {
      const readyOn = readyOnOf(trial.evidence.plan, ASKED_LATER) as IsoDate;
      const part = { rolls: rolls + shelf, by: q.dueOn };
      return { verdict: 'part', limits: [], evidence: trial.evidence, readyOn, part };
    }
    rolls = Math.floor(rolls * (tries === 0 ? 0.9 : 0.6));
  }
  return shelf > 0 ? { ...later, verdict: 'part', part: { rolls: shelf, by: q.dueOn } } : undefined;
}

/** So many by the day; of the rest at least what the customer takes in all. */
function split(q: Question, shelf: number, rolls: number, by: IsoDate): AskedLine[] {
  const { minRolls } = rollsTaken(q);
  const rest = q.rolls - shelf - rolls;
  return [
    { id: ASKED, rolls, least: rolls, most: rolls, by },
    { id: ASKED_LATER, rolls: rest, least: Math.max(1, minRolls - shelf - rolls), most: rest, by: undefined },
  ];
}
