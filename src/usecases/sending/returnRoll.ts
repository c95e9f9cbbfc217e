// A roll that comes back after dispatch: its length and mass come in again, it stays on hold until somebody decides, and
// its order is no longer done when too little of it is left with the customer.
import type { Knex } from 'knex';
import { maySend } from '../../domain/overUnder.ts';
import { Refusal } from '../../domain/refusal.ts';
import { bookMovements, bookStatus } from '../../store/ledger.ts';
import { lockOrders, refreshOrders } from '../../store/orderProgress.ts';
import { rollsToPack, takeOut } from '../../store/packages.ts';
import { sendingOf, sentWith, setOrderStatus } from '../../store/sending.ts';
import { enterOnce } from '../enterOnce.ts';
import type { Act } from '../machine/releasePlan.ts';

export interface Returning extends Act {
  roll: string;
  reason: string;
}

/** Refuses with not-found or not-dispatched. */
export async function returnRoll(db: Knex, returning: Returning): Promise<void> {
  const { by, requestKey, reason, roll } = returning;
  await enterOnce(db, { kind: 'returned', by, requestKey, reason, details: { roll } }, (trx, entry) =>
    takeBack(trx, entry, roll),
  );
}

async function takeBack(trx: Knex, entry: number, code: string): Promise<undefined> {
  const [roll] = await rollsToPack(trx, [code], 'lock');
  if (!roll) throw new Refusal('not-found', { what: 'roll', code });
  const sent = await sentWith(trx, code);
  if (roll.status !== 'dispatched' || !sent)
    throw new Refusal('not-dispatched', { roll: code, status: roll.status });
  const orders = roll.order === null ? [] : [roll.order];
  await lockOrders(trx, orders);
  await bookMovements(trx, entry, [{ roll: code, side: 'in', cause: 'returned', ...sent }]);
  await bookStatus(trx, entry, [code], 'on hold');
  await takeOut(trx, [code], entry);
  for (const order of await sendingOf(trx, orders))
    if (order.status === 'done' && order.sent < maySend(order).least)
      await setOrderStatus(trx, [order.order], 'open');
  await refreshOrders(trx, orders);
}
