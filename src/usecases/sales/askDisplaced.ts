// Who would have to give way: the asked rolls are planned first, alone, then the existing orders around them. Those that
// then lack rolls or come later than they would without are named; nothing of this is done, it is only said.
import { ASKED, type Kept, type SalesState } from '../../domain/answer.ts';
import { type PlanControl, untimed } from '../../domain/plan.ts';
import type { Question } from '../../domain/question.ts';
import { keptOf, NOTHING_KEPT } from './askKept.ts';
import { type AskedLine, rearranged } from './askProblems.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { firstPlan, keepsAll, planned } from './askTrials.ts';

/** In words; undefined when not even with nothing else to make it could be made by the day. */
export function wouldDisplace(
  state: SalesState,
  kept: Kept,
  q: Question,
  line: AskedLine,
  control: PlanControl,
): string[] | undefined {
  const cut = cutsFor(state, kept, q.dueOn).at(-1) as Cut;
  const alone = planned(rearranged(state, NOTHING_KEPT, cut, q, [line]), firstPlan(0)(control));
  if (!alone || !keepsAll(alone.plan, NOTHING_KEPT, [line])) return undefined;
  const first = keptOf(alone.document, alone.plan);
  const rolls = [...cut.rolls, ...first.bought];
  const locks = first.runs.map(untimed);
  const rest = planned(
    { ...rearranged(state, kept, { ...cut, rolls }, q, [line]), locks },
    firstPlan(0)(control),
  );
  return rest?.plan.orders.flatMap((outcome) => {
    const one = kept.orders.find(({ id }) => id === outcome.id);
    if (!one || outcome.id === ASKED) return [];
    if (outcome.planned < one.rolls)
      return [`${one.id}: ${one.rolls - outcome.planned} of ${one.rolls} rolls`];
    const later = one.by !== undefined && (outcome.readyOn ?? '9') > one.by;
    return later ? [`${one.id}: ready ${outcome.readyOn} instead of ${one.by}`] : [];
  });
}
