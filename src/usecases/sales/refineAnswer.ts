// The second look at an answer, with more time: what the orders keep where that was not planned yet; a better cut, a proof,
// more rolls by the day; who would have to give way; and what it costs. A first answer is changed only for a better one.
// CPU heavy: call it in a worker.
import { type Answer, isYes, type Kept, type SalesState, type Verdict } from '../../domain/answer.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Quote } from '../../domain/quote.ts';
import { keptInTime } from './askBaseline.ts';
import { wouldDisplace } from './askDisplaced.ts';
import type { Patiences } from './askInTime.ts';
import { wholeLine } from './askProblems.ts';
import { firstPlan } from './askTrials.ts';
import { workOut } from './workOut.ts';
import { workOutQuote } from './workOutQuote.ts';

/** Looks for better plans, and for better bounds, in each problem; counted, as in the first look. */
const LONGER: Patiences = { plan: firstPlan(8), proof: firstPlan(60) };

const RANK: Record<Verdict, number> = {
  finished: 0,
  coated: 1,
  coat: 2,
  buy: 3,
  part: 4,
  later: 5,
  latest: 6,
  no: 7,
  open: 8,
  working: 9,
};

export interface Refined {
  state: SalesState;
  kept: Kept;
  answer: Answer;
  quote: Quote | undefined;
}

/** What is known of an answer: its state, what the orders keep in it, or else what they kept before. */
export interface FirstAnswer {
  state: SalesState;
  kept: Kept | undefined;
  before: Kept | undefined;
  answer: Answer;
}

/** `planning` is the time for what the orders keep, `control` that of everything else. */
export function refineAnswer(
  { state, kept: known, before, answer: first }: FirstAnswer,
  planning: PlanControl,
  control: () => PlanControl,
): Refined {
  const kept = known ?? keptInTime(state, before, planning);
  return { state, kept, ...secondLook(state, kept, first, control()) };
}

function secondLook(state: SalesState, kept: Kept, first: Answer, control: PlanControl) {
  const q = first.question;
  const settled = first.verdict === 'finished' || (first.verdict === 'coated' && q.dueOn);
  const again = settled ? first : better(first, workOut(state, q, kept, control, LONGER).answer);
  const shelf = again.fromShelf.length;
  const line = wholeLine(q, shelf);
  const displaced = isYes(again) ? [] : wouldDisplace(state, kept, q, line, control);
  const answer = { ...again, wouldDisplace: displaced ?? [], notEvenAlone: displaced === undefined };
  // What can be promised is what is priced: without the day where the day cannot be kept.
  const priced = isYes(again) ? q : { ...q, dueOn: undefined };
  return { answer, quote: workOutQuote(state, kept, priced, shelf, control, q, again.evidence) };
}

function better(first: Answer, again: Answer): Answer {
  const [was, is] = [RANK[first.verdict], RANK[again.verdict]];
  if (is !== was) return is < was ? again : first;
  const more = (again.part?.rolls ?? 0) - (first.part?.rolls ?? 0);
  if (more !== 0) return more > 0 ? again : first;
  const sooner = (again.readyOn ?? '9').localeCompare(first.readyOn ?? '9');
  if (sooner !== 0) return sooner < 0 ? again : first;
  return proofs(again) > proofs(first) ? again : first;
}

const proofs = ({ certificate, earliest, part }: Answer): number =>
  [certificate, earliest, part?.proved].filter(Boolean).length;
