// The first answer to a question, while somebody waits for it: the shelf, and a plan of the asked rolls around what the
// existing orders keep, where these are few also with all rearranged. That is quick and certain where it is a yes. Where no
// such plan is found by the day, it says by when at the latest there is one; it says no only where even the asked rolls
// alone cannot be made, with the proof. Everything beyond, a no beside other orders
// and how many by the day, is worked out behind it (refineAnswer.ts). Steps are counted, so that a busy computer answers like an idle one.
import type { Answer, Kept, SalesState } from '../../domain/answer.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Question } from '../../domain/question.ts';
import type { IsoDate } from '../../domain/units.ts';
import { isFew, keptAtOnce } from './askBaseline.ts';
import { type Found, inTime } from './askInTime.ts';
import { NOTHING_KEPT } from './askKept.ts';
import { limitsOf } from './askLimits.ts';
import { wholeLine } from './askProblems.ts';
import { prove } from './askProof.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { aroundOnly, firstPlan, type TryCut, tryCut } from './askTrials.ts';
import { finishedOnly, startOf } from './workOut.ts';

export interface FirstLook {
  answer: Answer;
  /** What the existing orders keep; undefined where that is still to be planned. */
  kept: Kept | undefined;
}

const quickly: TryCut = (cut, lines, asked) => tryCut(cut, lines, asked, firstPlan(0));

/** `known` is what the orders keep in this state, `before` what they kept in the newest one that was planned. */
export function firstLook(
  state: SalesState,
  q: Question,
  known: Kept | undefined,
  before: Kept | undefined,
  control: PlanControl,
): FirstLook {
  const kept = known ?? keptAtOnce(state, before, control);
  if (!kept) return certainLook(state, q, control);
  const finished = finishedOnly(state, kept, q);
  if (finished) return { kept, answer: finished };
  const start = startOf(state, kept, q);
  const asking = {
    state,
    kept,
    q,
    shelf: start.fromShelf.length,
    control,
    tryCut: isFew(state) ? quickly : aroundOnly,
  };
  const yes = inTime(asking);
  if (yes) return { kept, answer: { ...start, ...yes } };
  const later = q.dueOn ? inTime({ ...asking, q: { ...q, dueOn: undefined } }) : undefined;
  const found = later ? { ...later, verdict: 'latest' as const } : askedAlone(state, q, control);
  return { kept, answer: { ...start, ...found } };
}

/** Whatever the orders keep: the shelf, and a no where even the asked rolls alone cannot be made. Quick. */
export function certainLook(state: SalesState, q: Question, control: PlanControl): FirstLook {
  const finished = finishedOnly(state, undefined, q);
  const answer = finished ?? { ...startOf(state, undefined, q), ...askedAlone(state, q, control) };
  return { kept: undefined, answer };
}

/** Nothing is known but what lies on the shelf. */
export function notKnownYet(state: SalesState, q: Question): FirstLook {
  const working = { ...startOf(state, undefined, q), verdict: 'working' as const };
  return { kept: undefined, answer: finishedOnly(state, undefined, q) ?? working };
}

/** What can be said of the asked rolls as if there were no others. */
function askedAlone(state: SalesState, q: Question, control: PlanControl): Found {
  const line = wholeLine(q, startOf(state, undefined, q).fromShelf.length);
  const alone = (by: IsoDate | undefined) => {
    const cut = cutsFor(state, NOTHING_KEPT, by).at(-1) as Cut;
    const { certificate } = prove(state, NOTHING_KEPT, cut, q, { ...line, by }, control, firstPlan(0));
    return certificate && { certificate, limits: limitsOf(state, certificate, q, line.rolls, undefined) };
  };
  const never = alone(undefined);
  if (never) return { ...never, verdict: 'no' };
  return { limits: [], ...(q.dueOn ? alone(q.dueOn) : {}), verdict: 'working' };
}
