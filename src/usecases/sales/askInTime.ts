// The answer by the day asked for: cut by cut, from coated rolls to film that must be bought, the first plan that makes all
// of it in time beside what the existing orders keep.
import { type Answer, ASKED, type Kept, type SalesState, TO_COME } from '../../domain/answer.ts';
import type { Plan, PlanControl } from '../../domain/plan.ts';
import type { Question } from '../../domain/question.ts';
import { addDays, areaM2, daysBetween, type IsoDate } from '../../domain/units.ts';
import { wholeLine } from './askProblems.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { type Patience, readyOnOf, type Trial, type TryCut } from './askTrials.ts';

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
/** How far plans and proofs are worked on; a proof is worth more of it. */
export interface Patiences {
  plan: Patience;
  proof: Patience;
}
export interface Thinking extends Asking {
  patience: Patiences;
}
/** What is found, as far as it makes an answer. */
export type Found = Pick<Answer, 'verdict' | 'limits'> & Partial<Answer>;

/** The first cut whose plan holds by the day asked for. */
export function inTime(asking: Asking): Found | undefined {
  const { state, kept, q, shelf, control } = asking;
  const line = wholeLine(q, shelf);
  const neededM2 = areaNeeded(state, kept, q, line.least);
  for (const cut of cutsFor(state, kept, q.dueOn)) {
    if (control.secondsLeft() <= 0) return undefined;
    if (cut.offers.length === 0 && areaOf(cut) < neededM2) continue;
    const trial = asking.tryCut(cut, [line], asking);
    if (trial.holds) return foundYes(cut, trial, q, state.today);
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

/** A plan that holds, as an answer. */
export function foundYes(cut: Cut, { evidence }: Trial, q: Question, today: IsoDate): Found {
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
