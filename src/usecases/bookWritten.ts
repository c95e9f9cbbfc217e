// Books rows of rolls that a form, a file or the demo has written, so that no metre enters or leaves past the ledger.
import type { Knex } from 'knex';
import type { Resource, Row } from '../domain/resource.ts';
import { bookWrittenRolls, openEntry } from '../store/ledger.ts';

/** Call it in the transaction that wrote the rows; rows of other tables are nothing to the ledger. */
export async function bookWritten(
  trx: Knex,
  resource: Resource,
  rows: readonly Row[],
  { by = 'this computer', how }: { by?: string | undefined; how: string },
): Promise<void> {
  if (resource.name !== 'rolls' || rows.length === 0) return;
  const { id } = await openEntry(trx, { kind: 'entered', by, reason: how });
  await bookWrittenRolls(
    trx,
    id,
    rows.map((row) => String(row.code)),
  );
}
