// What the pages of a release share: numbers in addresses, reasons, and the words for how a run and a roll stand.
import type { Row } from '../../domain/resource.ts';
import { whyNotRun } from '../../domain/rollDecision.ts';
import { type IsoDate, mmToM } from '../../domain/units.ts';
import type { ReleasedRun } from '../../usecases/machine/readRelease.ts';
import { Problem } from '../errors.ts';
import { patternWords } from '../plans/planWords.ts';
import { count, grouped } from '../words.ts';

const LARGEST = 2_147_483_647;

/** The number of a release or a run in an address. Throws a 404 in words. */
export function numberInAddress(text: unknown, what: 'release' | 'run'): number {
  const number = Number(text);
  if (typeof text === 'string' && /^\d{1,10}$/.test(text) && number >= 1 && number <= LARGEST) return number;
  throw new Problem(404, `There is no ${what} "${String(text)}".`, `A ${what} has a whole number.`);
}

/** A reason as typed, cut to what a line can hold; empty when none was given. */
export const reasonOf = (value: unknown): string =>
  typeof value === 'string' ? value.trim().slice(0, 500) : '';

/** A length as typed in metres, decimal point or comma; undefined when it is none. */
export function metresTyped(value: unknown): number | undefined {
  const text = typeof value === 'string' ? value.trim().replace(',', '.') : '';
  return /^\d{1,7}(\.\d{1,3})?$/.test(text) ? Math.round(Number(text) * 1000) : undefined;
}

export const metres = (lengthMm: number): string => grouped(mmToM(lengthMm), 1);

/** "3 of 8 sets cut" */
export function progressWords({ status, setsCut, setsPlanned }: ReleasedRun): string {
  if (status === 'withdrawn') return 'withdrawn';
  if (status === 'done' && setsCut < setsPlanned) return `closed after ${setsCut} of ${setsPlanned} sets`;
  if (status === 'done') return `done, ${count(setsCut, 'set')}`;
  return status === 'waiting'
    ? `waiting, ${count(setsPlanned, 'set')}`
    : `${setsCut} of ${setsPlanned} sets cut`;
}

/** Why this roll may not be run, such as "is on hold"; empty when it may. */
export const unfitOf = (roll: Row, today: string): string =>
  whyNotRun({ status: String(roll.status), useBy: roll.useBy as IsoDate | null }, today) ?? '';

/** One row a run, for tables. */
export function runRow(run: ReleasedRun) {
  return {
    release: run.release,
    sequence: run.sequence,
    slitter: run.slitter,
    product: run.product,
    lengthM: metres(run.lengthMm),
    pattern: patternWords(run.run),
    rolls: [...new Set(run.run.from.map(({ roll }) => roll))].join(', '),
    sets: run.setsPlanned,
    setsWords: count(run.setsPlanned, 'set'),
    cut: run.setsCut,
    share: Math.min(1, run.setsCut / run.setsPlanned),
    status: run.status,
    open: run.status === 'waiting' || run.status === 'being cut',
    words: progressWords(run),
  };
}
