// A plant with finished rolls for two orders of one customer and one of another, to be packed and sent.
import type { Knex } from 'knex';
import type { IsoDate } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { makeOf } from './made.ts';

export const TODAY = '2027-03-01' as IsoDate;
export const PREFIX = '9521234';

export interface SendingPlant {
  parent: string;
  /** 10 rolls +/-10 %, 2 rolls as they are, and 2 rolls of somebody else. */
  orders: { ten: string; two: string; other: string };
}

/** Orders T10, T2 (customer of the demo) and T3 (another), 12 + 2 + 2 finished rolls F1.., S1.., O1.. and one for the shelf. */
export async function sendingPlant(db: Knex): Promise<SendingPlant> {
  await seedDemo(db, TODAY);
  const coated = await db('rolls')
    .where({ kind: 'coated', status: 'released' })
    .orderBy([{ column: 'length_mm', order: 'desc' }, { column: 'width_um', order: 'desc' }, 'code'])
    .first();
  const [one, other] = await db('customers').orderBy('code').limit(2).pluck('code');
  const line = (code: string, customer: string, rolls: number, pct: number) => ({
    code,
    customer,
    product: coated.item,
    width_um: 50_000,
    length_mm: 300_000,
    rolls,
    over_pct: pct,
    under_pct: pct,
    due_on: '2027-03-10',
  });
  await db('order_lines').insert([line('T10', one, 10, 10), line('T2', one, 2, 0), line('T3', other, 2, 0)]);
  const strips = (prefix: string, many: number, order?: string) =>
    Array.from({ length: many }, (_, i) => ({
      code: `${prefix}${i + 1}`,
      kind: 'finished' as const,
      item: coated.item,
      widthUm: 50_000,
      lengthMm: 300_000,
      massMg: 150_000 + i,
      lot: 'L-77',
      ...(order === undefined ? {} : { order }),
    }));
  await makeOf(db, coated.code, strips('F', 12, 'T10'));
  await makeOf(db, coated.code, [...strips('S', 2, 'T2'), ...strips('O', 2, 'T3'), ...strips('X', 1)]);
  return { parent: coated.code, orders: { ten: 'T10', two: 'T2', other: 'T3' } };
}
