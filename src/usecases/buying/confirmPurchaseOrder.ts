// Writes what the supplier confirmed, line by line: for which day, how many rolls. All of it or nothing; the order is then
// confirmed. Sent again it writes the same.
import type { Knex } from 'knex';
import { CONFIRM_FIELDS, mayStep } from '../../domain/purchaseOrder.ts';
import type { Fault, Row } from '../../domain/resource.ts';
import type { IsoDate } from '../../domain/units.ts';
import { type OrderProgress, setConfirmed, setOrderStatus } from '../../store/purchaseOrders.ts';
import { readFields, type Typed } from '../tables/rowInput.ts';
import { lockedOrder, stepRefused } from './movePurchaseOrder.ts';
import { faultOf } from './purchaseOrderChecks.ts';

/** By the number of the line. */
export type TypedConfirmation = ReadonlyMap<number, Typed>;
export type ConfirmFault = Fault & { line: number };
export type Confirmed = { ok: true; code: string } | { ok: false; faults: ConfirmFault[] };

/** Refuses with not-found and purchase-order-step; lines that were not typed stay as they are. */
export async function confirmPurchaseOrder(
  db: Knex,
  code: string,
  typed: TypedConfirmation,
): Promise<Confirmed> {
  return db.transaction(async (trx) => {
    const order = await lockedOrder(trx, code);
    if (!mayStep('confirm', order)) throw stepRefused(order, 'confirm');
    const read = order.lines.flatMap(({ line }) => {
      const own = typed.get(line);
      return own ? [{ line, ...readFields({ fields: CONFIRM_FIELDS }, own, 'auto') }] : [];
    });
    const faults = read.flatMap(({ line, given, faults: ofLine }) =>
      [...ofLine, ...impossible(order, line, given)].map((fault) => ({ ...fault, line })),
    );
    if (faults.length > 0) return { ok: false, faults };
    for (const { line, given } of read)
      await setConfirmed(trx, order.code, {
        line,
        confirmedOn: (given.confirmedOn ?? null) as IsoDate | null,
        confirmedRolls: (given.confirmedRolls ?? null) as number | null,
      });
    await setOrderStatus(trx, order.code, 'confirmed');
    return { ok: true, code: order.code };
  });
}

/** Nothing comes before it was ordered, and what has come cannot be confirmed away. */
function impossible(order: OrderProgress, number: number, given: Row): Fault[] {
  const line = order.lines.find((one) => one.line === number);
  const day = given.confirmedOn as IsoDate | null | undefined;
  const rolls = given.confirmedRolls as number | null | undefined;
  const faults: Fault[] = [];
  if (day && order.orderedOn && day < order.orderedOn)
    faults.push(
      faultOf(
        CONFIRM_FIELDS,
        'confirmedOn',
        day,
        `${day} lies before the order, ${order.orderedOn}`,
        `${order.orderedOn} or later`,
      ),
    );
  if (line && typeof rolls === 'number' && rolls < line.received)
    faults.push(
      faultOf(
        CONFIRM_FIELDS,
        'confirmedRolls',
        String(rolls),
        `${line.received} of this line have come already`,
        `${line.received} or more`,
      ),
    );
  return faults;
}
