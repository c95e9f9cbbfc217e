// Can we make it? The whole way to an answer, given what the existing orders keep: the shelf; then cut by cut, from coated
// rolls to film that must be bought, a plan that makes it in time beside them. Where there is none, the proof that there can
// be none, how many can be made by then, and when the rest. CPU heavy: call it in a worker. Same state and question,
// same answer, unless time cuts it short; then it says `open` where it knows neither yes nor no.
import type { Answer, Kept, SalesState } from '../../domain/answer.ts';
import { acceptedRolls } from '../../domain/filmMath.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Question } from '../../domain/question.ts';
import { keptInTime } from './askBaseline.ts';
import { inTime, type Patiences, type Thinking } from './askInTime.ts';
import { notInTime } from './askLater.ts';
import { asSoonAsCanBe } from './askSoonest.ts';
import { firstPlan, type TryCut, tryCut } from './askTrials.ts';

export interface WorkedOut {
  answer: Answer;
  /** What the existing orders keep without the question: good for every question on the same state. */
  kept: Kept;
}

const QUICK: Patiences = { plan: firstPlan(0), proof: firstPlan(40) };

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
  const yes = inTime(asking);
  const answer = yes ? asSoonAsCanBe(asking, yes) : notInTime(asking);
  return { kept, answer: { ...start, ...answer } };
}

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
