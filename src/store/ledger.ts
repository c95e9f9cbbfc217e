// The ledger of stock: entries with their movements and changes of status. It only ever grows; the database refuses
// anything else, and refuses a transaction at whose end a roll's row and its ledger differ (migration 006).
// Lengths whole mm, masses whole mg; what comes in is positive, what goes out or is lost is negative.
import { AsyncLocalStorage } from 'node:async_hooks';
import type { Knex } from 'knex';

/** What happened, in one word each; the pages put them into sentences. */
export type EntryKind =
  | 'entered'
  | 'counted'
  | 'received'
  | 'status'
  | 'roll map'
  | 'coated'
  | 'released to the machine'
  | 'withdrawn'
  | 'cut'
  | 'roll finished'
  | 'corrected'
  | 'packed'
  | 'unpacked'
  | 'dispatched'
  | 'returned';

export interface NewEntry {
  kind: EntryKind;
  /** Who did it. */
  by: string;
  reason?: string | undefined;
  /** The key of the form that was sent; the same key is never entered twice. */
  requestKey?: string | undefined;
  /** The entry that this one corrects. */
  corrects?: number | undefined;
  /** Facts that a later reader needs, as JSON. */
  details?: Readonly<Record<string, unknown>>;
}

export interface Movement {
  roll: string;
  side: 'in' | 'out' | 'loss';
  /** received, made, coating; cut, coated, dispatched; edge trim, lead-in, stub, ... */
  cause: string;
  lengthMm: number;
  massMg: number;
  /** For what is made: the roll it was made of. */
  madeOf?: string | undefined;
}

type MovementRead = Omit<Movement, 'madeOf'> & { madeOf: string | null };

/** `repeated`: the same form was entered before, as `id`; nothing more is to be done. */
export interface OpenedEntry {
  id: number;
  repeated: boolean;
}

const moment = new AsyncLocalStorage<Date>();

/** What `work` enters bears this moment instead of now. For the demo's invented past alone: a plant enters what happens. */
export const enteredAt = <T>(at: Date, work: () => Promise<T>): Promise<T> => moment.run(at, work);

const LEDGER_LOCK = 5_230_817;

/**
 * Holds the ledger until the end of the transaction: one writer at a time, so that entries are numbered in the order in
 * which they happened and writers that touch the same rolls and orders cannot wait for each other for ever. Whoever
 * locks rolls before opening an entry calls this first.
 */
export async function holdLedger(trx: Knex): Promise<void> {
  await trx.raw('select pg_advisory_xact_lock(?)', [LEDGER_LOCK]);
}

/** Opens an entry. Two sends of one form at once: the second waits for the first and is told so. */
export async function openEntry(trx: Knex, entry: NewEntry): Promise<OpenedEntry> {
  await holdLedger(trx);
  const [opened] = await trx('entries')
    .insert({
      kind: entry.kind,
      at: moment.getStore() ?? trx.fn.now(),
      by_whom: entry.by,
      reason: entry.reason || null,
      request_key: entry.requestKey ?? null,
      corrects: entry.corrects ?? null,
      details: JSON.stringify(entry.details ?? {}),
    })
    .onConflict('request_key')
    .ignore()
    .returning('id');
  if (opened) return { id: Number(opened.id), repeated: false };
  const before = await trx('entries').where('request_key', String(entry.requestKey)).first('id');
  return { id: Number(before.id), repeated: true };
}

/**
 * Books movements of an entry and carries them into the balances of their rolls, whose worth follows their length. A roll
 * that becomes empty keeps the last one: what comes back to it is worth that again.
 */
export async function bookMovements(trx: Knex, entry: number, movements: readonly Movement[]): Promise<void> {
  const moving = movements.filter(({ lengthMm, massMg }) => lengthMm !== 0 || massMg !== 0);
  if (moving.length === 0) return;
  await trx.batchInsert(
    'movements',
    moving.map(({ roll, side, cause, lengthMm, massMg, madeOf }) => ({
      entry,
      roll,
      side,
      cause,
      length_mm: lengthMm,
      mass_mg: massMg,
      made_of: madeOf ?? null,
    })),
    1000,
  );
  await trx.raw(
    `update rolls set length_mm = rolls.length_mm + moved.length_mm,
       mass_kg = case when moved.mass_mg = 0 then rolls.mass_kg
         else coalesce(rolls.mass_kg, 0) + moved.mass_mg / 1000000.0 end,
       cost_per_roll = case when rolls.length_mm = 0 or rolls.length_mm + moved.length_mm = 0 then rolls.cost_per_roll
         else greatest(0, round(rolls.cost_per_roll * (rolls.length_mm + moved.length_mm) / rolls.length_mm, 4)) end
     from (select roll, sum(length_mm) as length_mm, sum(mass_mg) as mass_mg
       from unnest(?::text[], ?::bigint[], ?::bigint[]) as m(roll, length_mm, mass_mg) group by roll) as moved
     where rolls.code = moved.roll`,
    [moving.map((m) => m.roll), moving.map((m) => m.lengthMm), moving.map((m) => m.massMg)],
  );
}

/** The movement that takes another one back. */
export const reversed = ({
  roll,
  side,
  cause,
  lengthMm,
  massMg,
  madeOf,
}: Movement | MovementRead): Movement => ({
  roll,
  side,
  cause,
  lengthMm: -lengthMm,
  massMg: -massMg,
  madeOf: madeOf ?? undefined,
});

/** Gives rolls another status; those that have it already are passed over. */
export async function bookStatus(
  trx: Knex,
  entry: number,
  rolls: readonly string[],
  becomes: string,
): Promise<void> {
  await trx.raw(
    `with changed as (
       update rolls set status = ? from rolls as before
       where rolls.code = before.code and rolls.code = any(?) and before.status <> ?
       returning rolls.code, before.status as was)
     insert into status_changes (entry, roll, was, becomes) select ?, code, was, ? from changed order by code`,
    [becomes, [...rolls], becomes, entry, becomes],
  );
}

/**
 * Books what was written into rows of rolls by a form, a file or the demo: the difference between each row and its
 * ledger. A new roll's length comes in as `entered`, more of a known one as `counted`, less of it is a loss.
 */
export async function bookWrittenRolls(trx: Knex, entry: number, rolls: readonly string[]): Promise<void> {
  await trx.raw(
    `insert into movements (entry, roll, side, cause, length_mm, mass_mg)
     select ?, code, case when fresh or more then 'in' else 'loss' end,
       case when fresh then 'entered' else 'counted' end, length_mm, mass_mg
     from (select r.code, b.roll is null as fresh,
         r.length_mm - coalesce(b.length_mm, 0) as length_mm,
         (coalesce(r.mass_kg, 0) * 1000000)::bigint - coalesce(b.mass_mg, 0) as mass_mg,
         r.length_mm - coalesce(b.length_mm, 0) > 0
           or (r.length_mm = b.length_mm and coalesce(r.mass_kg, 0) * 1000000 > b.mass_mg) as more
       from rolls r left join (
         select roll, sum(length_mm)::bigint as length_mm, sum(mass_mg)::bigint as mass_mg
         from movements where roll = any(?) group by roll) b on b.roll = r.code
       where r.code = any(?)) as differs
     where length_mm <> 0 or mass_mg <> 0 order by code`,
    [entry, [...rolls], [...rolls]],
  );
  await trx.raw(
    `insert into status_changes (entry, roll, was, becomes)
     select ?, r.code, last.becomes, r.status
     from rolls r left join lateral (
       select becomes from status_changes s where s.roll = r.code order by id desc limit 1) last on true
     where r.code = any(?) and r.status is distinct from last.becomes order by r.code`,
    [entry, [...rolls]],
  );
}
