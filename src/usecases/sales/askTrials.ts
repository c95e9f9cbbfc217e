// Trials of a cut: is there a checked plan in which the asked rolls are made in time while every existing order keeps its
// rolls and its day? Around the kept runs first, which is quick and disturbs nothing, then with everything rearranged.
import type { Evidence, Kept, SalesState } from '../../domain/answer.ts';
import type { Plan, PlanControl } from '../../domain/plan.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import type { Question } from '../../domain/question.ts';
import { makePlan } from '../planning/makePlan.ts';
import { type AskedLine, aroundKept, rearranged } from './askProblems.ts';
import type { Cut } from './askSources.ts';

/** What a trial found: a plan that holds, else the best one that does not. */
export interface Trial {
  holds: boolean;
  evidence: Evidence | undefined;
}

/** The plan of a trial that holds. */
export const evidenceOf = ({ holds, evidence }: Trial): Evidence | undefined =>
  holds ? evidence : undefined;

/** What a trial is made of beside its cut and its lines. */
export interface Asked {
  state: SalesState;
  kept: Kept;
  q: Question;
  control: PlanControl;
}
export type TryCut = (cut: Cut, lines: AskedLine[], asked: Asked) => Trial;

/** How long a plan is worked on: a control for one plan out of the control of the whole answer. */
export type Patience = (control: PlanControl) => PlanControl;

/**
 * The first whole plan, and so many questions of the planner whether there is time to better it. Counted, not timed, so
 * that a busy computer answers like an idle one; the clock of the whole answer is only the last resort.
 */
export const firstPlan =
  (betterings: number): Patience =>
  (control) => {
    let left = Number.POSITIVE_INFINITY;
    return {
      secondsLeft() {
        if (left < Number.POSITIVE_INFINITY) left -= 1;
        return left < 0 ? 0 : control.secondsLeft();
      },
      report(progress) {
        if (progress.phase === 'improving' && left === Number.POSITIVE_INFINITY) left = betterings;
        control.report(progress);
      },
    };
  };

export function tryCut(cut: Cut, lines: AskedLine[], asking: Asked, patience: Patience): Trial {
  const { state, kept, q, control } = asking;
  const around = aroundOnly(cut, lines, asking, patience);
  if (around.holds || kept.orders.length === 0) return around;
  const again = planned(rearranged(state, kept, cut, q, lines), patience(control));
  if (again && keepsAll(again.plan, kept, lines)) return { holds: true, evidence: again };
  return { holds: false, evidence: better(again, around.evidence) };
}

/** Around the kept runs and no other way. */
export function aroundOnly(
  cut: Cut,
  lines: AskedLine[],
  { state, kept, q, control }: Asked,
  patience = firstPlan(0),
): Trial {
  const around = planned(aroundKept(state, kept, cut, q, lines), patience(control));
  return { holds: around !== undefined && keepsAll(around.plan, kept, lines), evidence: around };
}

/** The checked plan of a problem; undefined where the problem cannot be planned as it is (a kept run that no longer fits). */
export function planned(document: ProblemDocument, control: PlanControl): Evidence | undefined {
  const made = makePlan(document, control);
  if (made.ok) return { document, plan: withoutCurve(made.plan) };
  if (made.why === 'problem') return undefined;
  throw new Error(`a plan for a question breaks a limit: ${made.faults.join('; ')}`);
}

/** The curve of other plans is the planner's matter, and large. */
const withoutCurve = ({ alternatives, ...plan }: Plan): Plan => plan;

const better = (a: Evidence | undefined, b: Evidence | undefined): Evidence | undefined =>
  a && b ? (a.plan.cost.short <= b.plan.cost.short ? a : b) : (a ?? b);

/** Are the asked lines made by their days, and does every existing order keep what it has? */
export function keepsAll(plan: Plan, kept: Kept, lines: readonly AskedLine[]): boolean {
  const inTime = (id: string, rolls: number, by: string | undefined) => {
    const outcome = plan.orders.find((one) => one.id === id);
    if (!outcome || outcome.planned < rolls) return false;
    return by === undefined || (outcome.readyOn ?? '9') <= by;
  };
  return (
    lines.every(({ id, least, by }) => inTime(id, least, by)) &&
    kept.orders.every(({ id, rolls, by }) => inTime(id, rolls, by))
  );
}

export const readyOnOf = (plan: Plan, id: string): Plan['orders'][number]['readyOn'] =>
  plan.orders.find((one) => one.id === id)?.readyOn;
