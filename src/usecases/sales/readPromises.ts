// Promises as they stand, promised against actual, order by order and summed by customer; quotes past their time are
// swept up first. An order's acknowledgement.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { daysBetween, type IsoDate } from '../../domain/units.ts';
import {
  type Acknowledged,
  acknowledgedLines,
  type PromiseLine,
  promiseLines,
} from '../../store/promiseRecord.ts';
import { lapseQuotes } from '../../store/promises.ts';

export type { Acknowledged, PromiseLine } from '../../store/promiseRecord.ts';

const MOST_SHOWN = 500;

export interface PromiseSeen extends PromiseLine {
  /** Days after the promised day; negative: before it; undefined while it is neither made nor overdue. */
  lateDays: number | undefined;
}

export interface CustomerRecord {
  customer: string;
  name: string;
  promised: number;
  made: number;
  inTime: number;
  /** Promised for a day that is past, and not made. */
  overdue: number;
  /** Mean of those that were late. */
  meanLateDays: number | undefined;
}

export async function readPromises(
  db: Knex,
  today: IsoDate,
): Promise<{ lines: PromiseSeen[]; customers: CustomerRecord[] }> {
  await db.transaction((trx) => lapseQuotes(trx));
  const lines = (await promiseLines(db, MOST_SHOWN)).map((line) => ({
    ...line,
    lateDays: lateDaysOf(line, today),
  }));
  return { lines, customers: recordsOf(lines) };
}

function lateDaysOf({ kind, promisedOn, madeOn, status }: PromiseLine, today: IsoDate): number | undefined {
  if (kind !== 'order' || !promisedOn || status === 'cancelled') return undefined;
  if (madeOn) return daysBetween(promisedOn as IsoDate, madeOn as IsoDate);
  return promisedOn < today ? daysBetween(promisedOn as IsoDate, today) : undefined;
}

function recordsOf(lines: readonly PromiseSeen[]): CustomerRecord[] {
  const orders = lines.filter(({ kind, status }) => kind === 'order' && status !== 'cancelled');
  const customers = new Map(orders.map((line) => [line.customer, line.customerName]));
  return [...customers]
    .map(([customer, name]) => {
      const own = orders.filter((line) => line.customer === customer);
      const made = own.filter(({ madeOn }) => madeOn !== null);
      const late = made.filter(({ lateDays }) => (lateDays ?? 0) > 0);
      const days = late.reduce((sum, line) => sum + (line.lateDays ?? 0), 0);
      return {
        customer,
        name,
        promised: own.length,
        made: made.length,
        inTime: made.length - late.length,
        overdue: own.filter((line) => line.madeOn === null && (line.lateDays ?? 0) > 0).length,
        meanLateDays: late.length > 0 ? days / late.length : undefined,
      };
    })
    .sort((a, b) => b.overdue - a.overdue || a.name.localeCompare(b.name));
}

/** What the customer is told of an order. Refuses with not-found. */
export async function acknowledgement(db: Knex, order: string): Promise<Acknowledged[]> {
  const lines = await acknowledgedLines(db, order);
  if (lines[0]?.order !== order) throw new Refusal('not-found', { what: 'order line', code: order });
  return lines;
}
