// One form, one entry of the ledger, however often it is sent: what the second send gets is the first one's entry.
// Either everything is written, entry and all, or nothing and the reasons come back.
import type { Knex } from 'knex';
import { type NewEntry, openEntry } from '../store/ledger.ts';

export type Entered<F> = { ok: true; entry: number; repeated: boolean } | { ok: false; faults: F };

const ROLL_BACK = Symbol('nothing is to be kept');

/** `write` gets the open entry, in one transaction with it; what it returns is why nothing is to be kept. */
export async function enterOnce<F>(
  db: Knex,
  entry: NewEntry,
  write: (trx: Knex.Transaction, entry: number) => Promise<F | undefined>,
): Promise<Entered<F>> {
  let faults: F | undefined;
  try {
    return await db.transaction(async (trx) => {
      const { id, repeated } = await openEntry(trx, entry);
      if (!repeated) faults = await write(trx, id);
      if (faults !== undefined) throw ROLL_BACK;
      return { ok: true, entry: id, repeated };
    });
  } catch (error) {
    if (error !== ROLL_BACK || faults === undefined) throw error;
    return { ok: false, faults };
  }
}
