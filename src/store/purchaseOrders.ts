// Purchase orders with their lines, and how many rolls of each line have come in.
import type { Knex } from 'knex';
import type { LineProgress, PurchaseOrder, PurchaseOrderStatus } from '../domain/purchaseOrder.ts';

const HEAD = {
  code: 'o.code',
  supplier: 'o.supplier',
  status: 'o.status',
  orderedOn: 'o.ordered_on',
  note: 'o.note',
  currency: 'o.currency',
};
const LINE = {
  line: 'l.line',
  grade: 'l.grade',
  offer: 'l.offer',
  widthUm: 'l.width_um',
  lengthMm: 'l.length_mm',
  rolls: 'l.rolls',
  pricePerKg: 'l.price_per_kg',
  wantedOn: 'l.wanted_on',
  confirmedOn: 'l.confirmed_on',
  confirmedRolls: 'l.confirmed_rolls',
};
const RECEIVED = `(select count(*)::int from received_rolls r
  where r.purchase_order = l.purchase_order and r.line = l.line) as received`;

export type OrderProgress = Omit<PurchaseOrder, 'lines'> & { supplierName: string; lines: LineProgress[] };

/** The next free number, PO-1 and up; a number that somebody typed is passed over. */
export async function nextOrderCode(trx: Knex): Promise<string> {
  for (;;) {
    const { rows } = await trx.raw(`select 'PO-' || nextval('purchase_order_numbers') as code`);
    const { code } = rows[0];
    if (!(await trx('purchase_orders').whereRaw('lower(code) = lower(?)', [code]).first('code'))) return code;
  }
}

/** False when the same form was stored before. */
export async function insertOrder(trx: Knex, order: PurchaseOrder, requestKey: string): Promise<boolean> {
  const stored = await trx('purchase_orders')
    .insert({
      code: order.code,
      supplier: order.supplier,
      status: order.status,
      ordered_on: order.orderedOn,
      note: order.note,
      currency: order.currency,
      request_key: requestKey,
    })
    .onConflict('request_key')
    .ignore()
    .returning('code');
  if (stored.length === 0) return false;
  await trx('purchase_order_lines').insert(
    order.lines.map((line) => ({
      purchase_order: order.code,
      line: line.line,
      grade: line.grade,
      offer: line.offer,
      width_um: line.widthUm,
      length_mm: line.lengthMm,
      rolls: line.rolls,
      price_per_kg: line.pricePerKg,
      wanted_on: line.wantedOn,
      confirmed_on: line.confirmedOn,
    })),
  );
  return true;
}

/** The order that this form stored before. */
export async function orderOfRequest(db: Knex, requestKey: string): Promise<string | undefined> {
  return (await db('purchase_orders').where('request_key', requestKey).first('code'))?.code;
}

/** Orders with their lines, the newest first; of these statuses, where given. */
export async function selectOrders(
  db: Knex,
  among: { statuses?: readonly PurchaseOrderStatus[] },
): Promise<OrderProgress[]> {
  const heads = db('purchase_orders as o')
    .join('suppliers as s', 's.code', 'o.supplier')
    .orderByRaw('o.ordered_on desc nulls first, length(o.code) desc, o.code desc')
    .select(HEAD, { supplierName: 's.name' });
  if (among.statuses) heads.whereIn('o.status', among.statuses);
  return withLines(db, await heads);
}

/** One order; `lock` holds it until the end of the transaction, so that two receipts count one after the other. */
export async function selectOrder(
  db: Knex,
  code: string,
  lock: 'lock' | 'read' = 'read',
): Promise<OrderProgress | undefined> {
  const head = db('purchase_orders as o')
    .join('suppliers as s', 's.code', 'o.supplier')
    .whereRaw('lower(o.code) = lower(?)', [code])
    .select(HEAD, { supplierName: 's.name' });
  const heads = await (lock === 'lock' ? head.forUpdate('o') : head);
  return (await withLines(db, heads))[0];
}

async function withLines(db: Knex, heads: Omit<OrderProgress, 'lines'>[]): Promise<OrderProgress[]> {
  const lines: (LineProgress & { purchaseOrder: string })[] = await db('purchase_order_lines as l')
    .whereIn(
      'l.purchase_order',
      heads.map(({ code }) => code),
    )
    .orderBy(['l.purchase_order', 'l.line'])
    .select(LINE, { purchaseOrder: 'l.purchase_order' })
    .select(db.raw(RECEIVED));
  return heads.map((head) => ({
    ...head,
    lines: lines
      .filter(({ purchaseOrder }) => purchaseOrder === head.code)
      .map(({ purchaseOrder: _of, ...line }) => line),
  }));
}

export async function setOrderStatus(trx: Knex, code: string, status: PurchaseOrderStatus): Promise<void> {
  await trx('purchase_orders').where({ code }).update({ status });
}

/** Marks it sent, ordered on this day unless it says another. */
export async function setOrderSent(trx: Knex, code: string, today: string): Promise<void> {
  await trx('purchase_orders')
    .where({ code })
    .update({ status: 'sent', ordered_on: trx.raw('coalesce(ordered_on, ?)', [today]) });
}

/** Writes what was confirmed of a line. */
export async function setConfirmed(
  trx: Knex,
  code: string,
  { line, confirmedOn, confirmedRolls }: Pick<LineProgress, 'line' | 'confirmedOn' | 'confirmedRolls'>,
): Promise<void> {
  await trx('purchase_order_lines')
    .where({ purchase_order: code, line })
    .update({ confirmed_on: confirmedOn, confirmed_rolls: confirmedRolls });
}
