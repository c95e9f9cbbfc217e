// A roll on the machine, held for a recording: it must be part of the run, at this machine, and fit to run. Everything
// that a recording says about it is measured from its outer end as it was released; here that becomes its end as it is.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { whyNotRun } from '../../domain/rollDecision.ts';
import type { BadPlace } from '../../domain/rollMap.ts';
import type { RollOnMachine } from '../../domain/setCut.ts';
import type { IsoDate } from '../../domain/units.ts';
import { usedSinceRelease } from '../../store/recordings.ts';
import { findReleasedRolls, findRuns, holdersOf, type ReleasedRun } from '../../store/releases.ts';
import { findRows } from '../../store/rows.ts';

export interface HeldRoll extends RollOnMachine {
  code: string;
  kind: 'coated' | 'stub';
  status: string;
  costPerRoll: number | null;
  lot: string | null;
  supplier: string | null;
  useBy: string | null;
  /** Taken since it was released: where its outer end stands by the metre counter. */
  usedMm: number;
}

/** Locks the roll and reads it. Refuses with not-found. */
export async function lockRoll(trx: Knex, release: number, code: string): Promise<HeldRoll> {
  // Read after the lock is held: a map that was changed while this waited is in a table of its own.
  await findRows(trx, RESOURCES.rolls, [code], 'lock');
  const row = (await findRows(trx, RESOURCES.rolls, [code]))[0];
  if (!row) throw new Refusal('not-found', { what: 'roll', code });
  const massKg = row.massKg as number | null;
  return {
    code: String(row.code),
    kind: row.kind as HeldRoll['kind'],
    status: String(row.status),
    widthUm: row.widthUm as number,
    lengthMm: row.lengthMm as number,
    massMg: massKg ? Math.round(massKg * 1e6) : undefined,
    places: row.rollMap as BadPlace[],
    costPerRoll: row.costPerRoll as number | null,
    lot: row.lot as string | null,
    supplier: row.supplier as string | null,
    useBy: row.useBy as string | null,
    usedMm: (await usedSinceRelease(trx, release)).get(String(row.code)) ?? 0,
  };
}

/** Refuses a roll that is not of this run, with the machine where it is; or one that has left the machine. */
export async function refuseWrongRoll(trx: Knex, run: ReleasedRun, code: string): Promise<void> {
  const rolls = [...new Set(run.run.from.map(({ roll }) => roll))];
  const held = (await findReleasedRolls(trx, run.release)).find(({ roll }) => roll === code);
  if (rolls.includes(code)) {
    if (!held?.active) throw new Refusal('roll-off-machine', { roll: code });
    return;
  }
  const holder = (await holdersOf(trx, [code]))[0];
  const others = holder ? await findRuns(trx, [holder.release]) : [];
  const other = others.find((one) => one.run.from.some(({ roll }) => roll === code));
  if (holder && other && other.slitter !== run.slitter)
    throw new Refusal('roll-elsewhere', {
      roll: code,
      slitter: run.slitter,
      other: other.slitter,
      release: holder.release,
    });
  throw new Refusal('roll-not-of-run', { roll: code, run: run.sequence, rolls });
}

/** A held, quarantined, expired or used-up roll is never run. */
export function refuseUnfit({ code, status, useBy }: HeldRoll, today: string): void {
  const why = whyNotRun({ status, useBy: useBy as IsoDate | null }, today);
  if (why) throw new Refusal('roll-not-usable', { roll: code, why });
}
