// Receives rolls: all good ones or none, in quarantine, each with what came in as its first movement. What disagrees is
// received only when somebody has confirmed exactly that. Read again inside the transaction: what is stored is right.
import type { Knex } from 'knex';
import { filmMassKg } from '../../domain/filmMath.ts';
import { toCome } from '../../domain/purchaseOrder.ts';
import type { Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type IsoDate, mmToM, umToMm } from '../../domain/units.ts';
import { isTaken } from '../../store/databaseErrors.ts';
import { bookMovements } from '../../store/ledger.ts';
import { insertNewRolls, nextRollCodes } from '../../store/newRolls.ts';
import { selectOrder, setOrderStatus } from '../../store/purchaseOrders.ts';
import { ratesOn } from '../../store/rates.ts';
import { insertReceipt } from '../../store/receipts.ts';
import { findRows } from '../../store/rows.ts';
import { rateOf } from '../buying/buyingState.ts';
import { type Entered, enterOnce } from '../enterOnce.ts';
import { readReceipt } from './readReceipt.ts';
import type { ReadReceipt, ReadRoll, TypedReceipt } from './receipt.ts';

export type { ReadReceipt, ReadRoll, TypedReceipt };

export interface Receiving {
  by: string;
  requestKey: string;
  /** `good-rolls` leaves faulty ones out; with `all` one faulty roll stops all. */
  mode: 'all' | 'good-rolls';
  /** What somebody confirmed: keys of rolls with their warnings (confirmKey). */
  confirmed: readonly string[];
}

/** What receiving would do. */
export const previewReceipt = (db: Knex, typed: TypedReceipt): Promise<ReadReceipt> =>
  readReceipt(db, typed, 'read');

/** What is confirmed is this roll with these words: another disagreement has to be confirmed anew. */
export const confirmKey = ({ supplierRoll, warnings }: ReadRoll): string =>
  [supplierRoll, ...warnings].join('|');

/** The rolls that would come in, and those that somebody has to confirm first. */
export function sortedRolls(receipt: ReadReceipt, confirmed: readonly string[]) {
  const good = receipt.rolls.filter(({ faults }) => faults.length === 0);
  const open = good.filter((roll) => roll.warnings.length > 0 && !confirmed.includes(confirmKey(roll)));
  return { good, open, faulty: receipt.rolls.length - good.length };
}

export async function receiveRolls(
  db: Knex,
  typed: TypedReceipt,
  { by, requestKey, mode, confirmed }: Receiving,
): Promise<Entered<ReadReceipt>> {
  try {
    return await enterOnce(db, { kind: 'received', by, requestKey }, async (trx, entry) => {
      const receipt = await readReceipt(trx, typed, 'lock');
      const { good, open, faulty } = sortedRolls(receipt, confirmed);
      const stop = receipt.faults.length > 0 || good.length === 0 || open.length > 0;
      if (stop || (faulty > 0 && mode === 'all')) return receipt;
      await writeReceipt(trx, entry, receipt, good);
      return undefined;
    });
  } catch (error) {
    // Somebody else has received one of these rolls a moment ago: reading again finds it.
    if (!isTaken(error)) throw error;
    return { ok: false, faults: await readReceipt(db, typed, 'read') };
  }
}

async function writeReceipt(trx: Knex, entry: number, { head, order }: ReadReceipt, rolls: ReadRoll[]) {
  const fresh = await nextRollCodes(trx, 'B', rolls.filter(({ row }) => row.code === null).length);
  const costs = await costsOf(trx, head, order, rolls);
  const rows = rolls.map(
    ({ row }, index): Row => ({ ...row, code: row.code ?? fresh.shift(), costPerRoll: costs[index] }),
  );
  await insertNewRolls(trx, entry, rows);
  await bookMovements(
    trx,
    entry,
    rows.map((row) => ({
      roll: String(row.code),
      side: 'in',
      cause: 'received',
      lengthMm: row.lengthMm as number,
      massMg: Math.round(((row.massKg as number | null) ?? 0) * 1e6),
    })),
  );
  const receipt = {
    entry,
    supplier: String(head.supplier),
    purchaseOrder: order?.code ?? null,
    deliveryNote: (head.deliveryNote as string | null) ?? null,
    receivedOn: String(head.receivedOn),
    tolerancePct: head.tolerancePct as number,
  };
  const received = rolls.map((roll, index) => ({
    ...roll,
    roll: String(rows[index]?.code),
    confirmed: roll.warnings,
  }));
  await insertReceipt(trx, receipt, received);
  const now = order && (await selectOrder(trx, order.code));
  if (now?.lines.every((line) => toCome(line) === 0)) await setOrderStatus(trx, now.code, 'closed');
}

/**
 * What each roll stands in the books for: its mass at the price said, else at the order's, by the exchange rate of the day on
 * which it came; null without a price or a rate.
 */
async function costsOf(trx: Knex, head: Row, order: ReadReceipt['order'], rolls: ReadRoll[]) {
  const codes = [...new Set(rolls.map(({ row }) => String(row.item)))];
  const grades = new Map((await findRows(trx, RESOURCES.grades, codes)).map((grade) => [grade.code, grade]));
  const rates = await ratesOn(trx, head.receivedOn as IsoDate);
  const rate = order && rateOf(rates, order.currency);
  return rolls.map(({ row, line }) => {
    const price = order?.lines.find((one) => one.line === line)?.pricePerKg ?? null;
    const ordered = price === null || rate === undefined ? null : price * rate;
    const pricePerKg = (head.pricePerKg as number | null) ?? ordered;
    if (pricePerKg === null) return null;
    const grade = grades.get(row.item) as { thicknessUm: number; densityGPerCm3: number };
    const size = { widthMm: umToMm(row.widthUm as number), lengthM: mmToM(row.lengthMm as number) };
    const massKg = (row.massKg as number | null) ?? filmMassKg({ ...size, ...grade });
    return Math.round(massKg * pricePerKg * 100) / 100;
  });
}
