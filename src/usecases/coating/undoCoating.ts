// Takes a coating record back that was entered wrongly, so that it can be entered anew: a new entry with a reason reverses
// every movement, the coated rolls are void, the base rolls have their metres and their maps again. Refused once anything
// more was taken of one of the rolls, or while one is at a machine.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { RESOURCES } from '../../domain/resources.ts';
import type { BadPlace } from '../../domain/rollMap.ts';
import { putBack } from '../../domain/setCut.ts';
import { selectCoatingRun } from '../../store/coatingRuns.ts';
import { bookMovements, bookStatus, reversed } from '../../store/ledger.ts';
import { movedSince, movementsOf } from '../../store/recordings.ts';
import { holdersOf } from '../../store/releases.ts';
import { mapsBefore, writeMap } from '../../store/rollMaps.ts';
import { findRows } from '../../store/rows.ts';
import { enterOnce } from '../enterOnce.ts';

export interface UndoCoating {
  by: string;
  requestKey: string;
  reason: string;
}

/** Refuses with not-found, coating-undone, used-since or roll-reserved. */
export async function undoCoating(
  db: Knex,
  coating: number,
  { by, requestKey, reason }: UndoCoating,
): Promise<void> {
  if (!(await selectCoatingRun(db, coating)))
    throw new Refusal('not-found', { what: 'coating record', code: coating });
  const entry = {
    kind: 'corrected' as const,
    by,
    requestKey,
    reason,
    corrects: coating,
    details: { coating },
  };
  await enterOnce(db, entry, async (trx, id) => {
    const run = await selectCoatingRun(trx, coating);
    if (run?.undoneBy !== null && run?.undoneBy !== id) throw new Refusal('coating-undone', { coating });
    await undo(trx, coating, id);
    return undefined;
  });
}

async function undo(trx: Knex, coating: number, entry: number): Promise<void> {
  const movements = await movementsOf(trx, [coating]);
  const rolls = [...new Set(movements.map(({ roll }) => roll))];
  await findRows(trx, RESOURCES.rolls, rolls, 'lock');
  await refuseUsed(trx, rolls, coating);
  await bookMovements(trx, entry, movements.map(reversed));
  const jumbos = [...new Set(movements.filter(({ side }) => side === 'in').map(({ roll }) => roll))];
  for (const jumbo of jumbos) await writeMap(trx, jumbo, []);
  await bookStatus(trx, entry, jumbos, 'used up');
  const before = await mapsBefore(trx, coating);
  for (const row of await findRows(trx, RESOURCES.rolls, rolls)) {
    const code = String(row.code);
    if (jumbos.includes(code)) continue;
    const takenMm = -movements.reduce((sum, { roll, lengthMm }) => sum + (roll === code ? lengthMm : 0), 0);
    await writeMap(trx, code, putBack(row.rollMap as BadPlace[], before.get(code) ?? [], takenMm));
    if (row.status === 'used up') await bookStatus(trx, entry, [code], 'released');
  }
}

async function refuseUsed(trx: Knex, rolls: readonly string[], coating: number): Promise<void> {
  const used = await movedSince(trx, rolls, coating);
  if (used.length > 0) throw new Refusal('used-since', { rolls: used, many: used.length });
  const [holder] = await holdersOf(trx, rolls);
  if (holder)
    throw new Refusal('roll-reserved', {
      roll: holder.roll,
      release: holder.release,
      by: holder.by,
      plan: holder.plan,
    });
}
