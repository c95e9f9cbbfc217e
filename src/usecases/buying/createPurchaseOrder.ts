// Writes a purchase order with its lines as typed, all of it or nothing; the same form sent twice makes one order.
import type { Knex } from 'knex';
import {
  ORDER_FIELDS,
  ORDER_LINE_FIELDS,
  type PurchaseOrder,
  type PurchaseOrderLine,
} from '../../domain/purchaseOrder.ts';
import type { Field } from '../../domain/resource.ts';
import type { IsoDate } from '../../domain/units.ts';
import { isTaken } from '../../store/databaseErrors.ts';
import { insertOrder, nextOrderCode, orderOfRequest } from '../../store/purchaseOrders.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';
import { checkPurchaseOrder, faultOf, type OrderFault } from './purchaseOrderChecks.ts';

export interface TypedOrder {
  head: Typed;
  /** One for each line of the form; lines with nothing typed are passed over. */
  lines: readonly Typed[];
  requestKey: string;
}

export type { OrderFault };

export type CreatedOrder = { ok: true; code: string } | { ok: false; faults: OrderFault[] };

/** `today`: the plant's day, on which a draft counts as ordered. */
export async function createPurchaseOrder(
  db: Knex,
  typed: TypedOrder,
  today: IsoDate,
): Promise<CreatedOrder> {
  const before = await orderOfRequest(db, typed.requestKey);
  if (before !== undefined) return { ok: true, code: before };
  try {
    return await db.transaction(async (trx) => {
      const { order, faults } = await readOrder(trx, typed, today);
      if (faults.length > 0) return { ok: false, faults };
      order.code ||= await nextOrderCode(trx);
      if (await insertOrder(trx, order, typed.requestKey)) return { ok: true, code: order.code };
      return { ok: true, code: (await orderOfRequest(trx, typed.requestKey)) as string };
    });
  } catch (error) {
    if (!isTaken(error)) throw error;
    const code = typed.head.code ?? '';
    const fault = faultOf(
      ORDER_FIELDS,
      'code',
      code,
      `purchase order ${code} is there already`,
      'another code',
    );
    return { ok: false, faults: [fault] };
  }
}

async function readOrder(trx: Knex, { head, lines }: TypedOrder, today: IsoDate) {
  const read = readFields({ fields: ORDER_FIELDS }, withAll(ORDER_FIELDS, head), 'auto');
  const faults: OrderFault[] = [...read.faults];
  const order = { ...read.given, lines: [] as PurchaseOrderLine[] } as unknown as PurchaseOrder;
  if (order.status !== 'draft') order.orderedOn ??= today;
  const filled = lines.flatMap((line, place) => (isFilled(line) ? [{ line, place }] : []));
  for (const { line, place } of filled) {
    const one = readFields({ fields: ORDER_LINE_FIELDS }, withAll(ORDER_LINE_FIELDS, line), 'auto');
    faults.push(...one.faults.map((fault) => ({ ...fault, line: place })));
    order.lines.push({ ...one.given, line: order.lines.length + 1 } as unknown as PurchaseOrderLine);
  }
  if (filled.length === 0)
    faults.push({
      ...faultOf(ORDER_LINE_FIELDS, 'grade', '', 'the order has no line', 'at least one line'),
      line: 0,
    });
  const places = filled.map(({ place }) => place);
  faults.push(...(await checkPurchaseOrder(trx, order, places, today)));
  return { order, faults };
}

const isFilled = (line: Typed): boolean => Object.values(line).some((text) => text.trim() !== '');

const withAll = (fields: readonly Field[], typed: Typed): Typed =>
  Object.fromEntries(fields.map(({ name }) => [name, typed[name] ?? '']));
