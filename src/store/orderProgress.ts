// How far orders are (view order_progress of migration 007), and their status kept in step with it.
import type { Knex } from 'knex';
import { type Progress, type Quantity, statusOf } from '../domain/orderProgress.ts';

/** Holds these orders until the end of the transaction, in the order of their codes. */
export async function lockOrders(trx: Knex, codes: readonly string[]): Promise<void> {
  if (codes.length === 0) return;
  await trx('order_lines')
    .whereIn('code', codes)
    .orderByRaw('lower(code) collate "C"')
    .forUpdate()
    .select('code');
}

/** Orders that these rolls were made for. */
export async function ordersOfRolls(trx: Knex, rolls: readonly string[]): Promise<string[]> {
  return trx('rolls').whereIn('code', rolls).whereNotNull('order_line').distinct().pluck('order_line');
}

/** Progress by order; an order that does not exist is not there. */
export async function progressOf(db: Knex, codes: readonly string[]): Promise<Map<string, Progress>> {
  const rows = await db('order_progress').whereIn('order_line', codes).select('*');
  return new Map(
    rows.map(({ order_line, made, coming, covered }) => [order_line, { made, coming, covered }]),
  );
}

/** Sets open, planned or made as the progress has it; cancelled and done orders stay as they are. Orders are locked first. */
export async function refreshOrders(trx: Knex, codes: readonly string[]): Promise<void> {
  const distinct = [...new Set(codes)];
  await lockOrders(trx, distinct);
  const progress = await progressOf(trx, distinct);
  const orders = await trx('order_lines')
    .whereIn('code', distinct)
    .whereIn('status', ['open', 'planned', 'made'])
    .select('code', 'rolls', 'status', { overPct: 'over_pct', underPct: 'under_pct' });
  for (const order of orders as ({ code: string; status: string } & Quantity)[]) {
    const status = statusOf(order, progress.get(order.code) as Progress);
    if (status !== order.status) await trx('order_lines').where('code', order.code).update({ status });
  }
}
