// What did not go as planned in the sets of one recording, strip by strip: read against the run, and laid on its strips.
import type { Run } from '../../domain/plan.ts';
import type { CutOut, StripCut } from '../../domain/setCut.ts';
import { SCRAP_CAUSES, STUB_CAUSES } from '../../domain/stockWords.ts';
import { mmToM, mmToUm } from '../../domain/units.ts';
import type { ReleasedRun } from '../../store/releases.ts';

export interface Exception {
  /** Which of the sets recorded now, from 1; 0: every one. */
  set: number;
  /** Which strip of the pattern, from 1 at the datum edge; 0: every one that is not waste. */
  strip: number;
  what: 'short' | 'scrap' | 'splice';
  /** Wound length of a short roll. */
  lengthMm?: number | undefined;
  /** Why it is scrap. */
  cause?: string | undefined;
}

export interface RecordFault {
  /** sets, passed, tail, cutOuts, end, or exception-1 ... */
  field: string;
  wrong: string;
  right: string;
}

const MOST_SETS_AT_ONCE = 200;

interface Said {
  sets: number;
  passedMm: number;
  tailMm: number;
  cutOuts: readonly CutOut[];
  exceptions: readonly Exception[];
  end?: { remainderMm: number; keep: boolean; cause: string | undefined } | undefined;
}

/** What is wrong with a recording by itself, before the roll is looked at. */
export function recordFaults({ run, lengthMm }: ReleasedRun, said: Said): RecordFault[] {
  const faults: RecordFault[] = [];
  const whole = Number.isInteger(said.sets) && said.sets >= 0 && said.sets <= MOST_SETS_AT_ONCE;
  if (!whole || (said.sets === 0 && !said.end))
    faults.push({
      field: 'sets',
      wrong: `${said.sets} is no number of sets`,
      right: `1 to ${MOST_SETS_AT_ONCE}`,
    });
  if (!(said.passedMm >= 0)) faults.push({ field: 'passed', wrong: 'is below 0', right: '0 m or more' });
  if (!(said.tailMm >= 0)) faults.push({ field: 'tail', wrong: 'is below 0', right: '0 m or more' });
  const joined = [...said.cutOuts].sort((a, b) => a.fromMm - b.fromMm);
  if (joined.some((one, i) => i > 0 && one.fromMm < (joined[i - 1] as CutOut).toMm))
    faults.push({ field: 'cutOuts', wrong: 'two cut-outs overlap', right: 'each metre once' });
  said.exceptions.forEach((one, index) => {
    const fault = exceptionFault(run, lengthMm, said.sets, one);
    if (fault) faults.push({ field: `exception-${index + 1}`, ...fault });
  });
  const { end } = said;
  if (
    end &&
    !end.keep &&
    end.remainderMm > 0 &&
    !(STUB_CAUSES as readonly string[]).includes(end.cause ?? '')
  )
    faults.push({
      field: 'end',
      wrong: 'why the stub is not kept is missing',
      right: STUB_CAUSES.join(', '),
    });
  return faults;
}

function exceptionFault(
  run: Run,
  lengthMm: number,
  sets: number,
  { set, strip, what, lengthMm: shortMm, cause }: Exception,
): Omit<RecordFault, 'field'> | undefined {
  if (!Number.isInteger(set) || set < 0 || set > sets)
    return { wrong: `set ${set} is not among the ${sets} recorded now`, right: `1 to ${sets}, or all` };
  const found = run.strips[strip - 1];
  if (strip !== 0 && (!found || found.waste))
    return { wrong: `strip ${strip} is not a strip of this run that is wound`, right: 'a strip of the list' };
  if (what === 'short' && !(shortMm !== undefined && shortMm > 0 && shortMm < lengthMm))
    return {
      wrong: 'the length of the short roll is missing or not short',
      right: `above 0 and below ${mmToM(lengthMm)} m`,
    };
  if (what === 'scrap' && !(SCRAP_CAUSES as readonly string[]).includes(cause ?? ''))
    return { wrong: 'the cause of the scrap is missing', right: SCRAP_CAUSES.join(', ') };
  return undefined;
}

/** The strips of one set with what happened to them. */
export function stripsOfSet(run: Run, exceptions: readonly Exception[], set: number): StripCut[] {
  return run.strips.map((strip, index) => {
    const hit = exceptions.filter(
      (one) => (one.set === 0 || one.set === set) && (one.strip === 0 || one.strip === index + 1),
    );
    const lengths = hit.filter((one) => one.what === 'short').map((one) => one.lengthMm as number);
    return {
      fromUm: mmToUm(strip.fromMm),
      toUm: mmToUm(strip.toMm),
      waste: strip.waste === true,
      scrap: hit.find((one) => one.what === 'scrap')?.cause,
      shortMm: lengths.length > 0 ? Math.min(...lengths) : undefined,
      splices: hit.filter((one) => one.what === 'splice').length,
    };
  });
}
