// The demo's past went through the same doors as the plant's days: the audit passes, families lead back to the supplier,
// an order was sent, a package stands open, and yield has something to say.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { yieldOf } from '../../src/domain/yieldAccount.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { readYield } from '../../src/usecases/afterwards/readYield.ts';
import { familyOfLot } from '../../src/usecases/rolls/readFamily.ts';
import { seedPlant } from '../../src/usecases/seedPast.ts';
import { dispatchBoard } from '../../src/usecases/sending/readSending.ts';
import { freshDatabase } from '../support/database.ts';

describe("the demo plant's past", () => {
  let db: Knex;
  beforeAll(async () => {
    db = await freshDatabase();
    expect(await seedPlant(db, '2027-03-01' as IsoDate, '9521234')).toBe(true);
  }, 60_000);

  it('passes the audit', async () => {
    expect((await auditStock(db, 5)).rules.filter(({ total }) => total > 0)).toEqual([]);
  });

  it('is entered in its order, each step on a day of its own, and done once', async () => {
    const entries = await db('entries').orderBy('id').select('kind', 'at');
    const days = entries.map(({ at }) => at.toISOString().slice(0, 10));
    expect(days).toEqual(days.toSorted());
    const first = (kind: string) => days[entries.findIndex((entry) => entry.kind === kind)];
    expect(
      ['entered', 'received', 'coated', 'released to the machine', 'cut', 'dispatched'].map(first),
    ).toEqual(['2027-02-23', '2027-02-24', '2027-02-25', '2027-02-26', '2027-02-27', '2027-02-28']);
    const [release] = await db('releases').select('at');
    expect(release.at.toISOString().slice(0, 10)).toBe('2027-02-26');
    expect(await seedPlant(db, '2027-03-01' as IsoDate, '9521234')).toBe(false);
  });

  it('leads from the lot of the supplier to both customers', async () => {
    const family = await familyOfLot(db, 'OV-2207', { page: 1, pageSize: 50 });
    expect(family?.rolls.filter(({ kind }) => kind === 'base')).toHaveLength(2);
    expect(family?.finished.customerCount).toBe(2);
  });

  it('has sent one order within its tolerance, and packed a part of the other', async () => {
    const { open, sent, orders } = await dispatchBoard(db);
    expect(sent.map(({ orders: of }) => of)).toEqual([['SO-3991']]);
    expect(sent[0]?.rolls).toBeGreaterThanOrEqual(54);
    expect(open.map(({ orders: of, rolls }) => [of, rolls])).toEqual([[['SO-3992'], 24]]);
    expect(orders.map(({ order }) => order)).toContain('SO-3992');
  });

  it('has a yield below what was planned', async () => {
    const { facts } = await readYield(db, { from: '2000-01-01', until: '2100-01-01' });
    const slit = yieldOf(
      'all',
      facts.filter(({ machine }) => machine !== 'coater'),
    );
    expect(slit.actual).toBeGreaterThan(0.8);
    expect(slit.actual).toBeLessThan(slit.planned as number);
    // 2 x 2000 m of 1050 mm, 120 m of each lost in starting up, as planned.
    const coater = yieldOf(
      'coater',
      facts.filter(({ machine }) => machine === 'coater'),
    );
    expect(coater.actual).toBeCloseTo(1880 / 2000, 9);
    expect(coater.planned).toBeCloseTo(1880 / 2000, 9);
    expect(coater.lossCost).toBeGreaterThan(0);
  });
});
