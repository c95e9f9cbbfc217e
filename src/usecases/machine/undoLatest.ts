// Undoes the latest thing recorded of a roll, a set or its end: a new entry with a reason takes every movement back, the
// rolls it made are void, and the roll, its map, its run and the orders stand as they did. What was entered stays readable.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { putBack } from '../../domain/setCut.ts';
import { lockRolls, writeKind, writeMap } from '../../store/finishedRolls.ts';
import { bookMovements, bookStatus, type NewEntry, reversed } from '../../store/ledger.ts';
import { refreshOrders } from '../../store/orderProgress.ts';
import {
  changedSince,
  finishedOf,
  latestOfRoll,
  markUndone,
  movementsOf,
  type RecordingSeen,
} from '../../store/recordings.ts';
import { addSetsCut, findRuns, holdAgain, holdersOf, settleRelease } from '../../store/releases.ts';
import { enterOnce } from '../enterOnce.ts';
import type { Act } from './releasePlan.ts';
import { type HeldRoll, lockRoll } from './rollAtMachine.ts';
import { runsOf } from './withdrawRuns.ts';

export interface Undo extends Act {
  /** The recording to undo, by its entry: it must still be the latest of its roll. */
  entry: number;
  reason: string;
}

/** Refuses with not-found, nothing-to-undo, made-rolls-changed or roll-reserved. */
export async function undoLatest(
  db: Knex,
  release: number,
  roll: string,
  { by, reason, requestKey, entry: corrects }: Undo,
): Promise<void> {
  const known = await latestOfRoll(db, roll);
  const details = { release, roll, undone: corrects };
  const entry: NewEntry = { kind: 'corrected', by, reason, requestKey, details };
  if (known?.entry === corrects) entry.corrects = corrects;
  await enterOnce(db, entry, async (trx, id) => {
    await runsOf(trx, release);
    const held = await lockRoll(trx, release, roll);
    const latest = await latestOfRoll(trx, held.code);
    if (!latest || latest.release !== release || latest.entry !== corrects)
      throw new Refusal('nothing-to-undo', { roll: held.code });
    await refuseHeldElsewhere(trx, latest);
    await undo(trx, latest, held, id);
    return undefined;
  });
}

async function undo(trx: Knex, latest: RecordingSeen, held: HeldRoll, entry: number): Promise<void> {
  const made = await finishedOf(trx, [latest.entry]);
  const codes = made.map(({ code }) => code);
  // Somebody may be correcting one of them at this moment.
  await lockRolls(trx, codes);
  await refuseChanged(trx, codes, latest.entry);
  await takeBack(trx, latest, entry);
  await bookStatus(trx, entry, codes, 'used up');
  for (const code of codes) await writeMap(trx, code, []);
  await putRollBack(trx, latest, held, entry);
  await reopen(trx, latest);
  await refreshOrders(
    trx,
    made.flatMap(({ order }) => (order === null ? [] : [order])),
  );
  await settleRelease(trx, latest.release);
}

async function refuseChanged(trx: Knex, codes: string[], entry: number): Promise<void> {
  const rolls = await changedSince(trx, codes, entry);
  if (rolls.length > 0) throw new Refusal('made-rolls-changed', { rolls, many: rolls.length });
}

/** A roll whose end was recorded may be at the machine again for somebody else. */
async function refuseHeldElsewhere(trx: Knex, { roll, release }: RecordingSeen): Promise<void> {
  const holder = (await holdersOf(trx, [roll])).find((one) => one.release !== release);
  if (holder)
    throw new Refusal('roll-reserved', { roll, release: holder.release, by: holder.by, plan: holder.plan });
}

async function takeBack(trx: Knex, latest: RecordingSeen, entry: number): Promise<void> {
  const movements = await movementsOf(trx, [latest.entry]);
  await bookMovements(trx, entry, movements.map(reversed));
  await markUndone(trx, latest.entry, entry);
}

/** An end is undone as a whole; a set gives back its metres, and a roll that it used up is in use again. */
async function putRollBack(trx: Knex, latest: RecordingSeen, held: HeldRoll, entry: number): Promise<void> {
  const { roll, before, what, usedMm } = latest;
  if (what !== 'end') return writeMap(trx, roll, putBack(held.places, before.places, usedMm));
  await writeMap(trx, roll, before.places);
  await writeKind(trx, roll, before.kind);
  await bookStatus(trx, entry, [roll], before.status);
}

/** The run has a set less; a run that was closed before all its sets were cut stays closed. */
async function reopen(trx: Knex, { release, sequence, roll, what }: RecordingSeen): Promise<void> {
  const run = (await findRuns(trx, [release])).find((one) => one.sequence === sequence);
  if (run && what === 'set') {
    const closed = run.status === 'done' && run.setsCut < run.setsPlanned;
    await addSetsCut(trx, release, run.sequence, -1, closed ? 'done' : undefined);
  }
  await holdAgain(trx, release, roll);
}
