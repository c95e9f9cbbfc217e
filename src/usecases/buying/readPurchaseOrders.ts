// Shows purchase orders: all of them, one, or those on which film may arrive.
import type { Knex } from 'knex';
import { MAY_ARRIVE } from '../../domain/purchaseOrder.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type OrderProgress, selectOrder, selectOrders } from '../../store/purchaseOrders.ts';

export type { OrderProgress };

export const listPurchaseOrders = (db: Knex): Promise<OrderProgress[]> => selectOrders(db, {});

export const ordersToArrive = (db: Knex): Promise<OrderProgress[]> =>
  selectOrders(db, { statuses: MAY_ARRIVE });

/** Throws a Refusal when there is none. */
export async function openPurchaseOrder(db: Knex, code: string): Promise<OrderProgress> {
  const order = await selectOrder(db, code);
  if (!order) throw new Refusal('not-found', { what: 'purchase order', code });
  return order;
}
