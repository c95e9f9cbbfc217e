// Not by the day, as far as the planner found: a plan by the program of days where the state is small; else the proof that
// there can be none, the most that can be made by then with the rest on its earliest day, or the earliest day for all of it.
import { ASKED, ASKED_LATER, type Certificate, type Evidence } from '../../domain/answer.ts';
import { untimed } from '../../domain/plan.ts';
import { type Question, rollsTaken } from '../../domain/question.ts';
import { addDays, type IsoDate } from '../../domain/units.ts';
import { type DatedLook, datedLook } from './askDated.ts';
import { type Earliest, earliest } from './askEarliest.ts';
import { type Found, foundYes, inTime, type Thinking } from './askInTime.ts';
import { limitsOf, waitsForTheSlitter } from './askLimits.ts';
import { type AskedLine, rearranged, wholeLine } from './askProblems.ts';
import { type Proof, prove } from './askProof.ts';
import { isProvedNot } from './askSoonest.ts';
import { type Cut, cutsFor } from './askSources.ts';
import { evidenceOf, firstPlan, keepsAll, planned } from './askTrials.ts';

/** A question that found no plan by its day, and what looks at it by days. */
interface Late extends Thinking {
  /** All film there is and can be bought. */
  widest: Cut;
  line: AskedLine;
  dated: DatedLook;
}

/** So many numbers of rolls are tried by the day. */
const MOST_PARTS = 5;

export function notInTime(asking: Thinking): Found {
  const { state, kept, q, shelf, control, patience } = asking;
  const widest = cutsFor(state, kept, undefined).at(-1) as Cut;
  const line = wholeLine(q, shelf);
  const late: Late = { ...asking, widest, line, dated: datedLook(state, kept, widest, q, control) };
  const lacking = late.dated.lacking([line], ASKED, false);
  const made = lacking?.found === 0 ? late.dated.plan([line]) : undefined;
  if (made) return foundYes(widest, { holds: true, evidence: made }, q, state.today);
  const cut = cutsFor(state, kept, q.dueOn).at(-1) as Cut;
  const proof = prove(state, kept, cut, q, line, control, patience.proof);
  const certificate = proof.certificate ?? (lacking?.atLeast ? byDays(late, lacking.atLeast) : undefined);
  return { ...whatElse(late, proof, certificate), ...(certificate ? { certificate } : {}) };
}

/** What the program of days proved. */
const byDays = ({ dated, line, q }: Late, missingRolls: number): Certificate => ({
  document: dated.document([line]),
  by: q.dueOn,
  missingM2: 0,
  missingRolls,
  days: true,
});

function whatElse(late: Late, proof: Proof, certificate: Certificate | undefined): Found {
  const { state, q, line } = late;
  const later = q.dueOn ? allLater(late) : undefined;
  const limits = limitsOf(state, certificate, q, line.rolls, later?.evidence);
  if (q.dueOn && !certificate && later?.readyOn) limits.unshift(waitsForTheSlitter(q, later.readyOn));
  const part = later && partByThen(late, proof, later);
  if (part) return { ...part, limits };
  if (later) return { ...onItsEarliestDay(late, later), limits };
  const never = q.dueOn ? provedForGood(late, certificate) : certificate;
  if (never) return { verdict: 'no', limits, certificate: never, ...possibleOf(proof) };
  return { verdict: 'open', limits };
}

const possibleOf = ({ possible }: Proof) => (possible === undefined ? {} : { possible });

/** All of it on some day. */
function allLater(late: Late): Found | undefined {
  const { state, q, line, dated, widest } = late;
  const free = { ...q, dueOn: undefined };
  const found = inTime({ ...late, q: free });
  if (found) return found;
  const evidence = dated.plan([{ ...line, by: undefined }]);
  return evidence && foundYes(widest, { holds: true, evidence }, free, state.today);
}

/** A no for the day asked for is a no for good only where all film that can ever be had is too little. */
function provedForGood(late: Late, certificate: Certificate | undefined): Certificate | undefined {
  const { state, kept, q, control, patience, widest, dated } = late;
  if (certificate && certificate.by === undefined) return certificate;
  const line = { ...late.line, by: undefined };
  const proof = prove(state, kept, widest, q, line, control, patience.proof);
  if (proof.certificate) return proof.certificate;
  const lacking = dated.lacking([line], ASKED, false);
  if (!lacking?.atLeast) return undefined;
  return byDays({ ...late, line, q: { ...q, dueOn: undefined } }, lacking.atLeast);
}

function onItsEarliestDay(late: Late, later: Found): Found {
  const { state, q, widest, line } = late;
  const found = later.evidence && earliestBy(late, later.evidence, ASKED, (by) => [{ ...line, by }]);
  if (!found) return { ...later, verdict: 'later' };
  const asYes = foundYes(widest, { holds: true, evidence: found.evidence }, q, state.today);
  return { ...asYes, readyOn: found.readyOn, earliest: found.proved, verdict: 'later' };
}

function earliestBy(
  late: Late,
  known: Evidence,
  line: AskedLine['id'],
  linesBy: (by: IsoDate) => AskedLine[],
): Earliest {
  const { state, kept, q, dated } = late;
  const cutBy = (by: IsoDate) => cutsFor(state, kept, by).at(-1) as Cut;
  const search = {
    linesBy,
    line,
    dated,
    tryBy(by: IsoDate) {
      return evidenceOf(late.tryCut(line === ASKED ? cutBy(by) : late.widest, linesBy(by), late));
    },
    provedNot: (by: IsoDate) => isProvedNot(late, cutBy(by), { ...late.line, by }),
  };
  return earliest(search, addDays(q.dueOn as IsoDate, 1), known);
}

/** The most rolls that are found by the day, the rest as soon as can be. */
function partByThen(late: Late, proof: Proof, later: Found): Found | undefined {
  const { q, shelf, line, dated } = late;
  const by = q.dueOn as IsoDate;
  const lacking = dated.lacking([line], ASKED, true);
  const most = lacking ? line.least - lacking.atLeast : mostByProof(late, proof);
  const found = mostByThen(late, most, lacking?.found === undefined ? undefined : line.least - lacking.found);
  if (!found)
    return shelf > 0
      ? { ...later, verdict: 'part', part: { rolls: shelf, by, proved: most === 0 } }
      : undefined;
  const { rolls, evidence } = found;
  const rest = earliestBy(late, evidence, ASKED_LATER, (day) => split(q, shelf, rolls, by, day));
  const whole = rest.readyOn <= by ? asOneLine(late, rest.evidence) : undefined;
  if (whole) return foundYes(late.widest, { holds: true, evidence: whole }, q, late.state.today);
  const part = { rolls: rolls + shelf, by, proved: lacking !== undefined && rolls === most };
  const { readyOn } = rest;
  return { verdict: 'part', limits: [], evidence: rest.evidence, readyOn, earliest: rest.proved, part };
}

/** Where the rest turns out to be in time as well: the same runs, for one line. */
function asOneLine(
  { state, kept, q, line, widest, control }: Late,
  { plan }: Evidence,
): Evidence | undefined {
  const locks = plan.runs.map(untimed).map((run) => ({
    ...run,
    strips: run.strips.map((strip) => (strip.order === ASKED_LATER ? { ...strip, order: ASKED } : strip)),
  }));
  const document = { ...rearranged(state, kept, widest, q, [line]), locks };
  const found = planned(document, firstPlan(0)(control));
  return found && keepsAll(found.plan, kept, [line]) ? found : undefined;
}

function mostByProof({ line: { rolls } }: Late, { possible, certificate }: Proof): number {
  return Math.min(possible ?? rolls - 1, rolls - (certificate?.missingRolls ?? 1));
}

/** Between none and `most`, which may be too many, the most for which a plan is found; begun at `likely`. */
function mostByThen(
  late: Late,
  most: number,
  likely = most,
): { rolls: number; evidence: Evidence } | undefined {
  const { q, shelf, control } = late;
  let best: { rolls: number; evidence: Evidence } | undefined;
  let high = most;
  let at = likely;
  for (let tries = 0; at > (best?.rolls ?? 0) && tries < MOST_PARTS && control.secondsLeft() > 0; tries++) {
    const evidence = planOfPart(late, split(q, shelf, at, q.dueOn as IsoDate, undefined));
    if (evidence) best = { rolls: at, evidence };
    else high = at - 1;
    at = tries === 0 && !best ? Math.floor(0.9 * at) : Math.ceil(((best?.rolls ?? 0) + high) / 2);
  }
  return best;
}

function planOfPart(late: Late, lines: AskedLine[]): Evidence | undefined {
  return evidenceOf(late.tryCut(late.widest, lines, late)) ?? late.dated.plan(lines);
}

/** So many by the day; of the rest at least what the customer takes in all. */
function split(
  q: Question,
  shelf: number,
  rolls: number,
  by: IsoDate,
  rest: IsoDate | undefined,
): AskedLine[] {
  const { minRolls } = rollsTaken(q);
  const left = q.rolls - shelf - rolls;
  return [
    { id: ASKED, rolls, least: rolls, most: rolls, by },
    { id: ASKED_LATER, rolls: left, least: Math.max(1, minRolls - shelf - rolls), most: left, by: rest },
  ];
}
