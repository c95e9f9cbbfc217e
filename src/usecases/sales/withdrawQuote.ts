// A quote is withdrawn before its time: what it held is free at once. An order is cancelled at its own page, not here.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { endQuote, findPromise } from '../../store/promises.ts';

/** Withdrawing twice is done once. Refuses with not-found. */
export async function withdrawQuote(db: Knex, order: string): Promise<void> {
  await db.transaction(async (trx) => {
    const promise = await findPromise(trx, order, true);
    if (promise?.kind !== 'quote') throw new Refusal('not-found', { what: 'quote', code: order });
    if (!promise.ended) await endQuote(trx, order, 'withdrawn');
  });
}
