// The earliest day of asked rolls: between a day on which a plan is known and the days before, halving. Where the state is
// small every day is settled by a program (askDated.ts); else each takes a plan, so few are tried, and a proof for
// the day before.
import type { Evidence } from '../../domain/answer.ts';
import { addDays, daysBetween, type IsoDate } from '../../domain/units.ts';
import type { DatedLook } from './askDated.ts';
import type { AskedLine } from './askProblems.ts';
import { readyOnOf } from './askTrials.ts';

/** Plans that are tried on the way, where no program settles the days. */
const MOST_TRIALS = 4;

export interface Earliest {
  readyOn: IsoDate;
  evidence: Evidence;
  /** No plan is ready on an earlier day. */
  proved: boolean;
}

export interface Search {
  /** The lines with this day for the one that is sought. */
  linesBy(day: IsoDate): AskedLine[];
  line: AskedLine['id'];
  dated: DatedLook;
  /** A plan of the planner's with the line by that day, if it finds one. */
  tryBy(day: IsoDate): Evidence | undefined;
  /** Can no plan be ready by that day? Asked once, where no program settles it. */
  provedNot(day: IsoDate): boolean;
}

/** From `first`, the earliest day that can be at all, to the day of the plan `known`. */
export function earliest(search: Search, first: IsoDate, known: Evidence): Earliest {
  const readyOn = readyOnOf(known.plan, search.line) as IsoDate;
  if (readyOn <= first) return { readyOn, evidence: known, proved: true };
  const settled = bySettledDays(search, first, readyOn);
  return settled ? settledPlan(search, settled, known, readyOn) : byTrials(search, first, known, readyOn);
}

interface Settled {
  /** The first day that the program does not exclude. */
  day: IsoDate;
  /** Every day before it is proved impossible. */
  proved: boolean;
}

function bySettledDays({ linesBy, line, dated }: Search, first: IsoDate, last: IsoDate): Settled | undefined {
  let low = 0;
  let high = daysBetween(first, last);
  let proved = true;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    const lacking = dated.lacking(linesBy(addDays(first, middle)), line, false);
    if (!lacking) return undefined;
    if (lacking.found === 0) high = middle;
    else {
      proved = proved && lacking.atLeast > 0;
      low = middle + 1;
    }
  }
  return { day: addDays(first, low), proved };
}

/** A plan for the first day that is not excluded, or for one as soon after it as is found. */
function settledPlan(search: Search, { day, proved }: Settled, known: Evidence, last: IsoDate): Earliest {
  let to = last;
  let evidence = known;
  let excluded = proved;
  for (let tries = 0, at = day; at < to && tries < MOST_TRIALS; tries++) {
    const found = search.tryBy(at) ?? search.dated.plan(search.linesBy(at));
    if (found) {
      evidence = found;
      to = readyOnOf(found.plan, search.line) as IsoDate;
    } else {
      excluded = false;
      at = tries === 0 ? addDays(at, 1) : addDays(at, Math.ceil(daysBetween(at, to) / 2));
    }
  }
  return { readyOn: to, evidence, proved: excluded && to === day };
}

function byTrials(search: Search, first: IsoDate, known: Evidence, last: IsoDate): Earliest {
  let from = first;
  let to = last;
  let evidence = known;
  for (let tries = 0; from < to && tries < MOST_TRIALS; tries++) {
    const middle = addDays(from, Math.floor(daysBetween(from, to) / 2));
    const found = search.tryBy(middle);
    if (found) {
      evidence = found;
      to = readyOnOf(found.plan, search.line) as IsoDate;
    } else from = addDays(middle, 1);
  }
  return { readyOn: to, evidence, proved: to === first || search.provedNot(addDays(to, -1)) };
}
