// The price of the day: the least cost of all orders with it less the least cost without it. Neither is known exactly, so
// it is said by the best plans known, which both sides share (a plan in time is a plan without the day too), and between
// what the proven bounds allow at least and at most.
import { ASKED, type Evidence, type Kept } from '../../domain/answer.ts';
import type { Question } from '../../domain/question.ts';
import type { Rush } from '../../domain/quote.ts';
import { wholeLine } from './askProblems.ts';
import { keepsAll, readyOnOf } from './askTrials.ts';

/** Differences of less are none, in money. */
const SAME = 0.005;

export interface RushPlans {
  kept: Kept;
  q: Question;
  /** Rolls of it from the shelf. */
  shelf: number;
  /** Plans of all orders with the day: of the answer, of the quote. Those that are late count by their bound alone. */
  withDay: { answer: Evidence | undefined; quote: Evidence };
  /** The plan of all orders without it. */
  withoutDay: Evidence;
}

/** undefined where no plan is in time. Costs of purchases count whole. */
export function rushOf({ kept, q, shelf, withDay, withoutDay }: RushPlans): Rush | undefined {
  const line = wholeLine(q, shelf);
  const free = { ...line, by: undefined };
  const known = [withDay.quote, ...(withDay.answer ? [withDay.answer] : []), withoutDay];
  const holds = known.filter(({ plan }) => keepsAll(plan, kept, [free]));
  const inTime = holds.filter(({ plan }) => (readyOnOf(plan, ASKED) ?? '9') <= String(q.dueOn));
  if (inTime.length === 0) return undefined;
  const least = (plans: Evidence[]) => Math.min(...plans.map(({ plan }) => plan.cost.total - plan.cost.late));
  const [dear, cheap] = [least(inTime), least(holds)];
  // With the day nothing is cheaper than without it, so a bound without it is one with it.
  const freeBound = Math.min(cheap, withoutDay.plan.bound.cost);
  const dayBound = Math.min(dear, Math.max(freeBound, withDay.quote.plan.bound.cost));
  const atLeast = Math.max(0, dayBound - cheap);
  const atMost = dear - freeBound;
  return {
    byPlans: dear - cheap,
    atLeast,
    atMost,
    proved: atMost - atLeast < SAME,
  };
}
