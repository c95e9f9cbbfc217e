// Plans asked for because film comes late: one row for each cause, which is what keeps a cause from being planned twice.
import type { Knex } from 'knex';
import type { Plan } from '../domain/plan.ts';
import type { IsoDate } from '../domain/units.ts';
import type { PlanRowStatus } from './planSummaries.ts';

/** What an order was promised for when it was planned again. */
export interface PromisedDay {
  order: string;
  customer: string;
  promisedOn: IsoDate | null;
}

export interface LateReplan {
  purchaseOrder: string;
  cause: string;
  askedOn: IsoDate;
  plan: number | undefined;
  trouble: string | undefined;
  promised: PromisedDay[];
}

/** The causes that are known of these purchase orders. */
export async function knownCauses(db: Knex, purchaseOrders: readonly string[]): Promise<Set<string>> {
  const rows = await db('late_replans')
    .whereIn('purchase_order', purchaseOrders)
    .select('purchase_order', 'cause');
  return new Set(rows.map(({ purchase_order, cause }) => causeKey(purchase_order, cause)));
}

export const causeKey = (purchaseOrder: string, cause: string): string =>
  JSON.stringify([purchaseOrder, cause]);

/** Keeps a cause. False when it was known: then nothing is written, unless `anew`. */
export async function keepReplan(trx: Knex, replan: LateReplan, anew: boolean): Promise<boolean> {
  const row = {
    purchase_order: replan.purchaseOrder,
    cause: replan.cause,
    asked_on: replan.askedOn,
    plan: replan.plan ?? null,
    trouble: replan.trouble ?? null,
    promised: JSON.stringify(replan.promised),
  };
  const insert = trx('late_replans').insert(row).onConflict(['purchase_order', 'cause']);
  const written = await (anew ? insert.merge() : insert.ignore()).returning('id');
  return written.length > 0;
}

export async function setReplanPlan(
  trx: Knex,
  purchaseOrder: string,
  cause: string,
  plan: number,
): Promise<void> {
  await trx('late_replans').where({ purchase_order: purchaseOrder, cause }).update({ plan });
}

/** Takes plans for older causes of a purchase order out of the queue. */
export async function dropWaiting(trx: Knex, purchaseOrder: string): Promise<void> {
  await trx('plans')
    .where({ status: 'queued' })
    .whereIn(
      'id',
      trx('late_replans').where({ purchase_order: purchaseOrder }).whereNotNull('plan').select('plan'),
    )
    .update({ status: 'cancelled', finished_at: trx.fn.now() });
}

/** What these orders are promised for: the day of their promise, else the day on which they are due. */
export async function promisedDays(db: Knex, orders: readonly string[]): Promise<PromisedDay[]> {
  const promise = `(select max(p.promised_on) from promises p where p.order_line = o.code and p.ended is null and p.kind = 'order')`;
  return db('order_lines as o')
    .whereIn('o.code', orders)
    .orderBy('o.code')
    .select({ order: 'o.code', customer: 'o.customer' })
    .select(db.raw(`coalesce(${promise}, o.due_on) as "promisedOn"`));
}

export interface ReplanSeen extends LateReplan {
  status: PlanRowStatus | undefined;
  error: string | undefined;
  outcomes: Plan['orders'];
}

/** The newest of each purchase order, with what its plan says of the orders. */
export async function newestReplans(db: Knex, purchaseOrders: readonly string[]): Promise<ReplanSeen[]> {
  const rows = await db('late_replans as r')
    .leftJoin('plans as p', 'p.id', 'r.plan')
    .whereIn('r.purchase_order', purchaseOrders)
    .distinctOn('r.purchase_order')
    .orderBy(['r.purchase_order', { column: 'r.id', order: 'desc' }])
    .select({
      purchaseOrder: 'r.purchase_order',
      cause: 'r.cause',
      askedOn: 'r.asked_on',
      plan: 'r.plan',
      trouble: 'r.trouble',
      promised: 'r.promised',
      status: 'p.status',
      error: 'p.error',
    })
    .select(db.raw(`coalesce(p.plan->'orders', '[]') as outcomes`));
  return rows.map((row) => ({
    ...row,
    plan: row.plan ?? undefined,
    trouble: row.trouble ?? undefined,
    status: row.status ?? undefined,
    error: row.error ?? undefined,
  }));
}
