// A quote is accepted: it becomes an order, and the finished rolls that it held become the order's. Only within its time.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { findPromise, finishedOfPromise, isHeld, makeOrderOfQuote } from '../../store/promises.ts';
import { takeFromShelf } from './makePromise.ts';

/** Accepting twice is done once. Refuses with not-found or quote-has-ended. */
export async function acceptQuote(db: Knex, order: string): Promise<void> {
  await db.transaction(async (trx) => {
    const promise = await findPromise(trx, order, true);
    if (!promise) throw new Refusal('not-found', { what: 'quote', code: order });
    if (promise.kind === 'order') return;
    if (!(await isHeld(trx, order)))
      throw new Refusal('quote-has-ended', {
        code: order,
        how: promise.ended === 'withdrawn' ? 'was withdrawn' : 'has lapsed',
      });
    const shelf = await finishedOfPromise(trx, order);
    await makeOrderOfQuote(trx, order);
    if (shelf.length > 0) await takeFromShelf(trx, order, shelf);
  });
}
