// The proof of a no: with nothing costing anything but falling short, even the relaxed problem lacks rolls. Orders that
// are kept by a day and film that is ready by it are held against each other, for the day asked for and for every later
// day on which an existing order is due: film that is short then is short whatever is done before. Where film is enough,
// the same is tried with hours: the least machine time of any plan against what the slitters work up to that day.

import { ASKED, type Certificate, type Evidence, type Kept, type SalesState } from '../../domain/answer.ts';
import { minutesUntil } from '../../domain/hoursTaken.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import type { Question } from '../../domain/question.ts';
import { areaM2, type IsoDate } from '../../domain/units.ts';
import { ROUND_THE_CLOCK, type WorkCalendar } from '../../domain/workCalendar.ts';
import { type AskedLine, minutesOnly, SHORT_ONLY, shortageOnly } from './askProblems.ts';
import type { Cut } from './askSources.ts';
import { type Patience, planned } from './askTrials.ts';

/** Below this much of a roll nothing is missing: what the solver leaves of zero. */
const SHARE_OF_A_ROLL = 1e-3;
const MOST_DAYS = 6;
/** Minutes that rounding may make of none. */
const A_MOMENT = 0.01;

export interface Proof {
  certificate: Certificate | undefined;
  /** Rolls of the asked line that the best plan found still makes while all others keep theirs; undefined: not known. */
  possible: number | undefined;
}

/** Tries to prove that `line` cannot be made beside what is kept. */
export function prove(
  state: SalesState,
  kept: Kept,
  cut: Cut,
  q: Question,
  line: AskedLine,
  control: PlanControl,
  patience: Patience,
): Proof {
  let possible: number | undefined;
  for (const [index, by] of daysToTry(kept, line.by).entries()) {
    const document = shortageOnly(state, kept, cut, q, line, by);
    const found = planned(document, patience(control));
    if (!found) continue;
    if (index === 0) possible = madeBesideKept(found, line);
    const certificate = certificateOf(found, q, by);
    if (certificate) return { certificate, possible };
    const late = by && tooFewHours(state, document, by, patience(control));
    if (late) return { certificate: late, possible };
    if (control.secondsLeft() <= 0) break;
  }
  return { certificate: undefined, possible };
}

/** Up to the day the slitters work so many minutes; what is to be made by then takes more in every plan. */
function tooFewHours(
  { today }: SalesState,
  shortage: ProblemDocument,
  by: IsoDate,
  control: PlanControl,
): Certificate | undefined {
  const there = shortage.slitters.reduce((sum, { calendar }) => {
    const { all, taken } = minutesUntil({ ...ROUND_THE_CLOCK, ...calendar } as WorkCalendar, today, by);
    return sum + all - taken;
  }, 0);
  const document = minutesOnly(shortage);
  const found = planned(document, control);
  const needed = found?.plan.bound.cost ?? 0;
  if (needed <= there + A_MOMENT) return undefined;
  return { document, by, missingM2: 0, missingRolls: 1, minutes: { needed, there } };
}

/** The day asked for, then later days on which existing orders are due, then no day at all. */
function daysToTry(kept: Kept, by: IsoDate | undefined): (IsoDate | undefined)[] {
  if (by === undefined) return [undefined];
  const later = [...new Set(kept.orders.flatMap((one) => (one.by && one.by > by ? [one.by] : [])))].sort();
  return [by, ...later.slice(0, MOST_DAYS), undefined];
}

function certificateOf(
  { document, plan }: Evidence,
  q: Question,
  by: IsoDate | undefined,
): Certificate | undefined {
  const missingM2 = plan.bound.cost / SHORT_ONLY;
  const rollM2 = areaM2(q.widthUm, q.lengthMm);
  const smallest = Math.min(...document.orders.map((one) => (one.widthMm * one.lengthM) / 1000));
  if (!(missingM2 > SHARE_OF_A_ROLL * smallest)) return undefined;
  const missingRolls = Math.max(1, Math.ceil(missingM2 / rollM2 - SHARE_OF_A_ROLL));
  return { document, by, missingM2, missingRolls };
}

/** How many asked rolls the plan makes; when others are short in it, so much less as they lack. */
function madeBesideKept({ plan, document }: Evidence, line: AskedLine): number {
  const asked = plan.orders.find(({ id }) => id === ASKED);
  const size = document.orders.find(({ id }) => id === ASKED);
  if (!asked || !size) return 0;
  const sizeOf = (id: string) => {
    const one = document.orders.find((order) => order.id === id);
    return one ? one.widthMm * one.lengthM : 0;
  };
  const owed = plan.orders
    .filter(({ id }) => id !== ASKED)
    .reduce((sum, one) => sum + one.short * sizeOf(one.id), 0);
  const given = Math.ceil(owed / (size.widthMm * size.lengthM) - SHARE_OF_A_ROLL);
  return Math.max(0, Math.min(line.rolls, asked.planned) - given);
}
