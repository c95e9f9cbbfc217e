// The fields of the record page: what stands in them first (as planned), and what they say when they come back. Lengths
// are typed in m with point or comma; what cannot be read stays typed, with what would be right beside it.

import { parseRollMap } from '../../domain/rollMap.ts';
import type { CutOut } from '../../domain/setCut.ts';
import { mmToM, mToMm } from '../../domain/units.ts';
import type { ReleasedRun, ReleaseSeen } from '../../usecases/machine/readRelease.ts';
import type { Exception, SetsCut } from '../../usecases/machine/recordSets.ts';
import { plannedBlocks } from '../drawings/plannedBlocks.ts';
import { oneOf } from '../plans/planForms.ts';
import { metresTyped } from './releaseForms.ts';
import type { RollChoice } from './rollsAtMachine.ts';

/** So many exceptions fit one form; more are recorded with fewer sets at a time. */
export const MOST_EXCEPTIONS = 6;

export interface Fault {
  field: string;
  wrong: string;
  right: string;
}

export interface TypedException {
  set: string;
  strip: string;
  what: string;
  length: string;
  cause: string;
}

export interface TypedRecord {
  roll: string;
  sets: string;
  passed: string;
  tail: string;
  cutOuts: string;
  exceptions: TypedException[];
  ended: boolean;
  remainder: string;
  keep: string;
  cause: string;
}

const NOTHING: TypedException = { set: '', strip: '', what: '', length: '', cause: '' };

/** As planned: the next roll, one set, its lead-in, the tails and cut-outs that the plan foresees. */
export function firstForm(seen: ReleaseSeen, run: ReleasedRun, rolls: readonly RollChoice[]): TypedRecord {
  const roll =
    rolls.find((one) => one.why === '' && one.cut < one.planned) ?? rolls.find((one) => one.why === '');
  const slitter = seen.problem.slitters.find(({ id }) => id === run.slitter);
  return {
    roll: roll?.code ?? '',
    // Of a run that is done only the end of a roll can still be recorded.
    sets: run.status === 'done' ? '' : '1',
    passed: roll ? String(mmToM(passedPlanned(seen, run, roll))) : '0',
    tail: String(mmToM(slitter?.tailMm ?? 0)),
    cutOuts: '',
    exceptions: Array.from({ length: MOST_EXCEPTIONS }, () => NOTHING),
    ended: run.status === 'done',
    remainder: '',
    keep: 'stub',
    cause: '',
  };
}

/** What the plan passes over before the next set on this roll: lead-in, or the gap behind the block before. */
function passedPlanned({ plan, problem }: ReleaseSeen, run: ReleasedRun, roll: RollChoice): number {
  const slitter = problem.slitters.find(({ id }) => id === run.slitter);
  let cut = roll.cut;
  for (const block of plannedBlocks(plan, problem, roll.code)) {
    if (block.sequence !== run.sequence) continue;
    if (cut === 0) return roll.usedMm === 0 && !block.first ? (slitter?.leadInMm ?? 0) : mToMm(block.gapM);
    if (cut < block.sets) return 0;
    cut -= block.sets;
  }
  return 0;
}

type Body = Readonly<Record<string, unknown>>;
type Cut = Omit<SetsCut, 'by' | 'requestKey' | 'today'>;

/** What was typed, what it says, and what is wrong with it. */
export function readRecordForm(body: Body): { typed: TypedRecord; cut: Cut; faults: Fault[] } {
  const typed = typedOf(body);
  const faults: Fault[] = [];
  const length = (field: string, text: string): number => {
    const mm = metresTyped(text === '' ? '0' : text);
    if (mm === undefined)
      faults.push({ field, wrong: `"${text}" is not a length`, right: 'metres, such as 30 or 1.5' });
    return mm ?? 0;
  };
  if (typed.roll === '')
    faults.push({ field: 'roll', wrong: 'no roll is chosen', right: 'the roll on the machine' });
  const onlyEnd = typed.ended && typed.sets.trim() === '';
  const sets = onlyEnd ? 0 : /^\d{1,3}$/.test(typed.sets.trim()) ? Number(typed.sets) : Number.NaN;
  if (Number.isNaN(sets))
    faults.push({
      field: 'sets',
      wrong: `"${typed.sets}" is not a number of sets`,
      right: 'a whole number, such as 1',
    });
  const cut: Cut = {
    roll: typed.roll,
    sets: Number.isNaN(sets) ? 1 : sets,
    passedMm: length('passed', typed.passed),
    tailMm: length('tail', typed.tail),
    cutOuts: cutOutsTyped(typed.cutOuts, faults),
    exceptions: exceptionsTyped(typed.exceptions, faults),
    end: typed.ended ? endTyped(typed, faults) : undefined,
  };
  return { typed, cut, faults };
}

function typedOf(body: Body): TypedRecord {
  const exceptions = Array.from({ length: MOST_EXCEPTIONS }, (_, i) => ({
    set: oneOf(body[`set-${i + 1}`]),
    strip: oneOf(body[`strip-${i + 1}`]),
    what: oneOf(body[`what-${i + 1}`]),
    length: oneOf(body[`length-${i + 1}`]),
    cause: oneOf(body[`cause-${i + 1}`]),
  }));
  return {
    roll: oneOf(body.roll),
    sets: oneOf(body.sets),
    passed: oneOf(body.passed).trim(),
    tail: oneOf(body.tail).trim(),
    cutOuts: oneOf(body.cutOuts),
    exceptions,
    ended: oneOf(body.ended) === 'yes',
    remainder: oneOf(body.remainder).trim(),
    keep: oneOf(body.keep) || 'stub',
    cause: oneOf(body.cause),
  };
}

const CUT_OUT_RIGHT = 'one a line, such as "1210-1211.5, flag"';

/** "1210-1211.5, flag": read as places of a roll map over the full width. */
function cutOutsTyped(text: string, faults: Fault[]): CutOut[] {
  const lines = text.split(/\r\n|\r|\n/).filter((line) => line.trim() !== '');
  const places = lines.map((line) => {
    const [along, ...kind] = line.split(/[,;](?=\s|$)/);
    return `${along}, full width, ${kind.join(',').trim() || 'flag'}`;
  });
  const read = parseRollMap(places.join('\n'));
  if (!read.ok) {
    faults.push({ field: 'cutOuts', wrong: read.wrong, right: CUT_OUT_RIGHT });
    return [];
  }
  return read.value.flatMap(({ fromMm, toMm, kind }) => {
    if (toMm !== null) return [{ fromMm, toMm, kind }];
    faults.push({ field: 'cutOuts', wrong: 'a cut-out has no end', right: CUT_OUT_RIGHT });
    return [];
  });
}

function exceptionsTyped(lines: readonly TypedException[], faults: Fault[]): Exception[] {
  return lines.flatMap((line, index) => {
    if (line.what === '') return [];
    const field = `exception-${index + 1}`;
    const what = line.what as Exception['what'];
    if (!['short', 'scrap', 'splice'].includes(what)) {
      faults.push({ field, wrong: `"${line.what}" is not known`, right: 'short roll, scrap or join' });
      return [];
    }
    const set = /^\d*$/.test(line.set.trim()) ? Number(line.set) : Number.NaN;
    return [
      {
        set: Number.isNaN(set) ? -1 : set,
        strip: Number(line.strip) || 0,
        what,
        lengthMm: what === 'short' ? metresTyped(line.length) : undefined,
        cause: what === 'scrap' ? line.cause : undefined,
      },
    ];
  });
}

function endTyped({ remainder, keep, cause }: TypedRecord, faults: Fault[]): SetsCut['end'] {
  const remainderMm = metresTyped(remainder);
  if (remainderMm === undefined)
    faults.push({
      field: 'remainder',
      wrong: `"${remainder}" is not a length`,
      right: 'metres measured on the core; 0 when it ran out',
    });
  return { remainderMm: remainderMm ?? 0, keep: keep === 'stub', cause: cause || undefined };
}
