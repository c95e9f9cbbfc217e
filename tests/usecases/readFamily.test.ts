// From a finished roll back to the supplier's lot, and from a lot forward to orders and customers.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { bookMovements, openEntry } from '../../src/store/ledger.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { familyOfLot, familyOfRoll } from '../../src/usecases/rolls/readFamily.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { type Child, makeOf } from '../support/made.ts';

const ASKED = { page: 1, pageSize: 50 };
const finished = (code: string, order?: string): Child => ({
  code,
  kind: 'finished',
  item: 'CP-10',
  widthUm: 100_000,
  lengthMm: 300_000,
  massMg: 1000,
  ...(order === undefined ? {} : { order }),
});

describe('the family of rolls', () => {
  let db: Knex;
  let base: string[];
  let orders: { code: string; customer: string }[];
  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, '2027-03-01' as IsoDate);
    const { item } = await db('rolls').where('kind', 'coated').orderBy('code').first('item');
    base = await db('rolls')
      .where({ kind: 'base', status: 'released' })
      .orderBy('code')
      .limit(2)
      .pluck('code');
    orders = await db('order_lines')
      .distinctOn('customer')
      .orderBy(['customer', 'code'])
      .limit(2)
      .select('code', 'customer');
    const supplier = await db('suppliers').orderBy('code').first('code');
    await db('rolls').whereIn('code', base).update({ lot: 'Lot 7/A', supplier: supplier.code });
    const coated = (code: string): Child => ({
      code,
      kind: 'coated',
      item,
      widthUm: 800_000,
      lengthMm: 2_000_000,
      massMg: 9_000_000,
      lot: 'COAT-1',
    });
    await makeOf(db, base[0] as string, [coated('C1')]);
    await makeOf(db, base[1] as string, [coated('C2')]);
    const strip = (code: string, order?: string) => ({ ...finished(code, order), item });
    await makeOf(db, 'C1', [strip('F1', orders[0]?.code), strip('F2', orders[0]?.code), strip('F3')]);
    await makeOf(db, 'C2', [strip('F4', orders[0]?.code), strip('F5', orders[1]?.code)]);
    // Recorded by mistake and taken back.
    await makeOf(db, 'C2', [strip('F6', orders[1]?.code)]);
    await db.transaction(async (trx) => {
      const { id } = await openEntry(trx, { kind: 'corrected', by: 'test', reason: 'never cut' });
      await bookMovements(trx, id, [
        { roll: 'F6', side: 'in', cause: 'made', lengthMm: -300_000, massMg: -1000, madeOf: 'C2' },
        { roll: 'C2', side: 'out', cause: 'cut', lengthMm: 300_000, massMg: 1000 },
      ]);
    });
  });

  it('leads from a finished roll back to the base film and its lot', async () => {
    const family = await familyOfRoll(db, 'f4', ASKED);
    expect(family?.starts).toEqual(['F4']);
    expect(family?.rolls.map(({ code, parents }) => [code, parents])).toEqual(
      [
        [base[1], []],
        ['C2', [base[1]]],
        ['F4', ['C2']],
      ].sort(([a], [b]) => (String(a) < String(b) ? -1 : 1)),
    );
    expect(family?.rolls.find(({ code }) => code === base[1])).toMatchObject({
      lot: 'Lot 7/A',
      kind: 'base',
    });
    expect(family?.finished.parents).toEqual([]);
  });

  it('leads from a lot forward to the finished rolls, counted by parent, order and customer', async () => {
    const family = await familyOfLot(db, 'lot 7/a', ASKED);
    expect(family?.starts).toEqual(base);
    expect(family?.finished.parents.map(({ parent, rolls }) => [parent, rolls])).toEqual([
      ['C1', 2],
      ['C1', 1],
      ['C2', 1],
      ['C2', 1],
    ]);
    expect(
      Object.fromEntries(family?.finished.orders.map(({ order, rolls }) => [order, rolls]) ?? []),
    ).toEqual({
      [String(orders[0]?.code)]: 3,
      [String(orders[1]?.code)]: 1,
      null: 1,
    });
    expect(family?.finished.orderCount).toBe(3);
  });

  it('leaves out a roll whose making was taken back', async () => {
    const family = await familyOfLot(db, 'Lot 7/A', { ...ASKED, order: String(orders[1]?.code) });
    expect(family?.single?.rows.map(({ code }) => code)).toEqual(['F5']);
  });

  it('shows the single rolls of an order, and those that are for nobody', async () => {
    const one = await familyOfLot(db, 'Lot 7/A', { ...ASKED, order: String(orders[0]?.code) });
    expect(one?.single?.rows.map(({ code, parent }) => [code, parent])).toEqual([
      ['F1', 'C1'],
      ['F2', 'C1'],
      ['F4', 'C2'],
    ]);
    const none = await familyOfLot(db, 'Lot 7/A', { ...ASKED, order: '' });
    expect(none?.single?.rows.map(({ code }) => code)).toEqual(['F3']);
  });

  it('follows a coated roll both ways, without what else was made of its film', async () => {
    const family = await familyOfRoll(db, 'C1', ASKED);
    expect(family?.rolls.map(({ code }) => code)).toEqual([base[0], 'C1'].sort());
    expect(family?.finished.parents.reduce((sum, { rolls }) => sum + rolls, 0)).toBe(3);
  });

  it('begins a coating lot at its coated rolls, and leads back from there', async () => {
    const family = await familyOfLot(db, 'COAT-1', ASKED);
    expect(family?.starts).toEqual(['C1', 'C2']);
    expect(family?.rolls.filter(({ kind }) => kind === 'base').map(({ code }) => code)).toEqual(base);
  });

  it('gives orders page by page', async () => {
    const pages = await Promise.all(
      [1, 2, 3].map((page) => familyOfLot(db, 'Lot 7/A', { page, pageSize: 1 })),
    );
    const seen = pages.map((family) => family?.finished.orders[0]?.order);
    expect(new Set(seen).size).toBe(3);
    expect(pages.map((family) => family?.finished.orderCount)).toEqual([3, 3, 3]);
  });

  it('knows no roll and no lot that do not exist', async () => {
    expect(await familyOfRoll(db, 'nowhere', ASKED)).toBeUndefined();
    expect(await familyOfLot(db, 'nowhere', ASKED)).toBeUndefined();
  });

  it('and the stock it was made through passes the audit', async () => {
    expect((await auditStock(db, 10)).rules.filter(({ total }) => total > 0)).toEqual([]);
  });
});
