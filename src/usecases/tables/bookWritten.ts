// Books rows of rolls that a form, a file or the demo has written, so that no metre enters or leaves past the ledger.
import type { Knex } from 'knex';
import type { Resource, Row } from '../../domain/resource.ts';
import type { BadPlace } from '../../domain/rollMap.ts';
import { bookWrittenRolls, holdLedger, openEntry } from '../../store/ledger.ts';
import { ordersOfRolls, refreshOrders } from '../../store/orderProgress.ts';
import { bookMaps } from '../../store/rollMaps.ts';

/** Call it first in a transaction that writes rows; other tables than rolls are nothing to the ledger. */
export async function beforeWriting(trx: Knex, resource: Resource): Promise<void> {
  if (resource.name === 'rolls') await holdLedger(trx);
}

/** Call it in the transaction that wrote the rows, with what they were `before`; other tables are nothing to the ledger. */
export async function bookWritten(
  trx: Knex,
  resource: Resource,
  rows: readonly Row[],
  {
    by = 'this computer',
    how,
    before = [],
  }: { by?: string | undefined; how: string; before?: readonly Row[] },
): Promise<void> {
  if (resource.name !== 'rolls' || rows.length === 0) return;
  const { id } = await openEntry(trx, { kind: 'entered', by, reason: how });
  const codes = rows.map((row) => String(row.code));
  await bookWrittenRolls(trx, id, codes);
  await refreshOrders(trx, await ordersOfRolls(trx, codes));
  const known = new Map(before.map((row) => [row.code, row]));
  await bookMaps(
    trx,
    id,
    rows.flatMap((row) => {
      const was = known.get(row.code)?.rollMap;
      return was
        ? [{ roll: String(row.code), before: was as BadPlace[], after: row.rollMap as BadPlace[] }]
        : [];
    }),
  );
}
