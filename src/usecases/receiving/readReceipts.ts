// Shows goods receipts: the newest ones, those of a purchase order, or one with its rolls.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { latestReceipts, type ReceiptLine, type ReceiptSeen, selectReceipt } from '../../store/receipts.ts';

export type { ReceiptLine, ReceiptSeen };

const MOST_SHOWN = 20;

export const newestReceipts = (db: Knex, purchaseOrder?: string): Promise<ReceiptLine[]> =>
  latestReceipts(db, { most: MOST_SHOWN, ...(purchaseOrder === undefined ? {} : { purchaseOrder }) });

/** Throws a Refusal when there is none. */
export async function openReceipt(db: Knex, number: string): Promise<ReceiptSeen> {
  const receipt = /^\d{1,15}$/.test(number) ? await selectReceipt(db, Number(number)) : undefined;
  if (!receipt) throw new Refusal('not-found', { what: 'goods receipt', code: number });
  return receipt;
}
