// Writes a purchase order with its lines as typed, all of it or nothing; the same form sent twice makes one order.
import type { Knex } from 'knex';
import {
  ORDER_FIELDS,
  ORDER_LINE_FIELDS,
  type PurchaseOrder,
  type PurchaseOrderLine,
} from '../domain/purchaseOrder.ts';
import { type Fault, type Field, fieldHead } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import { isTaken } from '../store/databaseErrors.ts';
import { insertOrder, nextOrderCode, orderOfRequest } from '../store/purchaseOrders.ts';
import { findCodes, findRows } from '../store/rows.ts';
import { readFields, type Typed } from './rowInput.ts';

export interface TypedOrder {
  head: Typed;
  /** One for each line of the form; lines with nothing typed are passed over. */
  lines: readonly Typed[];
  requestKey: string;
}

/** A fault of a line says which: its place in the form, from 0. */
export type OrderFault = Fault & { line?: number };
export type CreatedOrder = { ok: true; code: string } | { ok: false; faults: OrderFault[] };

export async function createPurchaseOrder(db: Knex, typed: TypedOrder): Promise<CreatedOrder> {
  const before = await orderOfRequest(db, typed.requestKey);
  if (before !== undefined) return { ok: true, code: before };
  try {
    return await db.transaction(async (trx) => {
      const { order, faults } = await readOrder(trx, typed);
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

async function readOrder(trx: Knex, { head, lines }: TypedOrder) {
  const read = readFields({ fields: ORDER_FIELDS }, withAll(ORDER_FIELDS, head), 'auto');
  const faults: OrderFault[] = [...read.faults];
  const order = { ...read.given, lines: [] as PurchaseOrderLine[] } as unknown as PurchaseOrder;
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
  faults.push(...(await knownReferences(trx, order, places)));
  return { order, faults };
}

const isFilled = (line: Typed): boolean => Object.values(line).some((text) => text.trim() !== '');

const withAll = (fields: readonly Field[], typed: Typed): Typed =>
  Object.fromEntries(fields.map(({ name }) => [name, typed[name] ?? '']));

/** Sets references to the spelling of the database; an offer must be this supplier's and of this grade. */
async function knownReferences(trx: Knex, order: PurchaseOrder, places: number[]): Promise<OrderFault[]> {
  const faults: OrderFault[] = [];
  const spelt = async (name: 'suppliers' | 'grades', field: string, code: string, line?: number) => {
    const found = (await findCodes(trx, RESOURCES[name], [code])).get(code.toLowerCase());
    if (found === undefined)
      faults.push({
        ...faultOf(
          line === undefined ? ORDER_FIELDS : ORDER_LINE_FIELDS,
          field,
          code,
          `there is no ${RESOURCES[name].singular} ${code}`,
          `a code from the list of ${RESOURCES[name].plural}`,
        ),
        ...(line === undefined ? {} : { line }),
      });
    return found ?? code;
  };
  if (order.supplier) order.supplier = await spelt('suppliers', 'supplier', order.supplier);
  for (const [index, line] of order.lines.entries()) {
    const place = places[index] as number;
    if (line.grade) line.grade = await spelt('grades', 'grade', line.grade, place);
    if (!line.offer) continue;
    const [offer] = await findRows(trx, RESOURCES.offers, [line.offer]);
    const fits = offer && offer.supplier === order.supplier && offer.grade === line.grade;
    if (fits) line.offer = String(offer.code);
    else
      faults.push({
        ...faultOf(
          ORDER_LINE_FIELDS,
          'offer',
          line.offer,
          offer
            ? `offer ${offer.code} is ${offer.supplier}'s for ${offer.grade}`
            : `there is no offer ${line.offer}`,
          'an offer of this supplier for this grade, or none',
        ),
        line: place,
      });
  }
  return faults;
}

function faultOf(fields: readonly Field[], name: string, value: string, wrong: string, right: string): Fault {
  const field = fields.find((one) => one.name === name) as Field;
  return { field: name, column: fieldHead(field), value, wrong, right };
}
