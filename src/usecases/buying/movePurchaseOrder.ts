// Takes a purchase order a step on: sent, closed or cancelled. A step that was taken already is no fault: the same button
// pressed twice does it once. Film that was received keeps an order from being cancelled; it can be closed.
import type { Knex } from 'knex';
import { mayStep, type OrderStep, type PurchaseOrderStatus } from '../../domain/purchaseOrder.ts';
import { Refusal } from '../../domain/refusal.ts';
import type { IsoDate } from '../../domain/units.ts';
import { type OrderProgress, selectOrder, setOrderSent, setOrderStatus } from '../../store/purchaseOrders.ts';

const BECOMES: Readonly<Record<Exclude<OrderStep, 'confirm'>, PurchaseOrderStatus>> = {
  send: 'sent',
  close: 'closed',
  cancel: 'cancelled',
};

/** Refuses with not-found and purchase-order-step. @returns its code. */
export async function movePurchaseOrder(
  db: Knex,
  code: string,
  step: Exclude<OrderStep, 'confirm'>,
  today: IsoDate,
): Promise<string> {
  return db.transaction(async (trx) => {
    const order = await lockedOrder(trx, code);
    if (order.status === BECOMES[step]) return order.code;
    if (!mayStep(step, order)) throw stepRefused(order, step);
    if (step === 'send') await setOrderSent(trx, order.code, today);
    else await setOrderStatus(trx, order.code, BECOMES[step]);
    return order.code;
  });
}

export async function lockedOrder(trx: Knex, code: string): Promise<OrderProgress> {
  const order = await selectOrder(trx, code, 'lock');
  if (!order) throw new Refusal('not-found', { what: 'purchase order', code });
  return order;
}

export const stepRefused = (order: OrderProgress, step: OrderStep): Refusal =>
  new Refusal('purchase-order-step', {
    order: order.code,
    status: order.status,
    step,
    received: order.lines.reduce((sum, { received }) => sum + received, 0),
  });
