// The rolls of a run as the operator chooses between them: where each stands on the counter and what it still has to give.
import { mmToM } from '../../domain/units.ts';
import type { ReleasedRun, ReleaseSeen } from '../../usecases/machine/readRelease.ts';
import { grouped } from '../words.ts';
import { metres, unfitOf } from './releaseForms.ts';

export interface RollChoice {
  code: string;
  location: string;
  /** Sets of this run planned from it, and how many are cut. */
  planned: number;
  cut: number;
  atM: string;
  leftM: string;
  usedMm: number;
  /** Why nothing can be cut from it; empty when something can. */
  why: string;
}

export function rollChoices(seen: ReleaseSeen, { run, sequence }: ReleasedRun, today: string): RollChoice[] {
  const names = [...new Set(run.from.map(({ roll }) => roll))];
  return names.flatMap((code) => {
    const roll = seen.rolls.find((one) => one.code === code);
    if (!roll) return [];
    const { row, active, usedMm } = roll;
    const cut = seen.recordings.filter(
      (one) => one.roll === code && one.sequence === sequence && one.what === 'set' && one.undoneBy === null,
    ).length;
    return {
      code,
      location: String(row.location ?? ''),
      planned: run.from.filter(({ roll: of }) => of === code).reduce((sum, { sets }) => sum + sets, 0),
      cut,
      atM: metres(usedMm),
      leftM: grouped(mmToM(row.lengthMm as number), 1),
      usedMm,
      why: active ? stopWords(unfitOf(row, today)) : 'off the machine',
    };
  });
}

const stopWords = (unfit: string): string => (unfit ? `${unfit}, may not be run` : '');
