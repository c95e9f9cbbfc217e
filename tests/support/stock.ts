// Stock as a test wants it: rows of rolls written or deleted without entries in the ledger, whose guards sleep meanwhile.
// For tests of lists, pages and problems only; what is about the ledger goes through it.
import type { Knex } from 'knex';

/** Runs `write` in one transaction with the database's triggers asleep. */
export async function pastTheLedger(db: Knex, write: (trx: Knex) => Promise<unknown>): Promise<void> {
  await db.transaction(async (trx) => {
    await trx.raw('set local session_replication_role = replica');
    await write(trx);
  });
}

/** Deletes rolls whose code begins so, with all that is known of them. */
export async function forgetRolls(db: Knex, beginning: string): Promise<void> {
  await pastTheLedger(db, async (trx) => {
    for (const table of ['movements', 'status_changes', 'roll_defects'])
      await trx(table).where('roll', 'like', `${beginning}%`).delete();
    await trx('rolls').where('code', 'like', `${beginning}%`).delete();
  });
}
