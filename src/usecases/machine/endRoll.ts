// The end of a roll at the machine: what is left is measured; what the books had more or less of is counted; the rest is
// kept as a stub or written off with its cause. Part of a recording, inside its transaction.
import type { Knex } from 'knex';
import { cutTo } from '../../domain/rollMap.ts';
import { massOf } from '../../domain/setCut.ts';
import { LOSS } from '../../domain/stockWords.ts';
import { writeKind, writeMap } from '../../store/finishedRolls.ts';
import { bookMovements, bookStatus, type Movement, openEntry } from '../../store/ledger.ts';
import { insertRecordings } from '../../store/recordings.ts';
import type { HeldRoll } from './rollAtMachine.ts';

export interface EndOfRoll {
  /** As measured on the core. */
  remainderMm: number;
  /** Kept as a stub; else it is written off. */
  keep: boolean;
  /** Why it is not kept. */
  cause: string | undefined;
}

/** Ends a roll that is held and fit; `entry` is the recording's own when nothing else was recorded with it. */
export async function endRollIn(
  trx: Knex,
  release: number,
  roll: HeldRoll,
  end: EndOfRoll,
  { by, entry }: { by: string; entry: number | undefined },
): Promise<void> {
  const { code, lengthMm } = roll;
  const { remainderMm, cause } = end;
  const keep = end.keep && remainderMm > 0;
  const details = { release, roll: code, bookedMm: lengthMm, measuredMm: remainderMm, keep, cause };
  const id = entry ?? (await openEntry(trx, { kind: 'roll finished', by, details })).id;
  await bookMovements(trx, id, movementsOfEnd(roll, remainderMm, keep));
  if (keep) {
    await writeKind(trx, code, 'stub');
    const whole = { fromMm: 0, toMm: remainderMm, fromUm: 0, toUm: roll.widthUm };
    await writeMap(trx, code, cutTo(roll.places, whole));
  } else {
    await writeMap(trx, code, []);
    await bookStatus(trx, id, [code], 'used up');
  }
  await insertRecordings(trx, [
    {
      entry: id,
      release,
      sequence: null,
      roll: code,
      what: 'end',
      fromInnerMm: keep ? remainderMm : 0,
      usedMm: lengthMm - (keep ? remainderMm : 0),
      before: { places: roll.places, kind: roll.kind, status: roll.status },
    },
  ]);
}

/** The count that puts the books right, then the stub that is written off. */
function movementsOfEnd(roll: HeldRoll, remainderMm: number, keep: boolean): Movement[] {
  const moreMm = remainderMm - roll.lengthMm;
  const moreMg = moreMm > 0 ? massOfMore(roll, moreMm) : -massOf(roll, -moreMm);
  const counted: Movement = {
    roll: roll.code,
    side: moreMm > 0 ? 'in' : 'loss',
    cause: LOSS.counted,
    lengthMm: moreMm,
    massMg: moreMg,
  };
  if (keep) return [counted];
  const restMg = (roll.massMg ?? 0) + moreMg;
  return [
    counted,
    { roll: roll.code, side: 'loss', cause: LOSS.stub, lengthMm: -remainderMm, massMg: -restMg },
  ];
}

const massOfMore = ({ massMg, lengthMm }: HeldRoll, moreMm: number): number =>
  massMg && lengthMm > 0 ? Math.round((massMg * moreMm) / lengthMm) : 0;
