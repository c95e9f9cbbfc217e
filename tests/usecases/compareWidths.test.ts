// Which width to buy for one product, and for all products on a grade. Without time for full plans: only the curve.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { compareWidths } from '../../src/usecases/buying/compareWidths.ts';
import { type WidthsAsked, widthQuestion } from '../../src/usecases/buying/widthQuestion.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});
const compared = async (asked: Partial<WidthsAsked>) => {
  const question = await widthQuestion(
    db,
    { of: { grade: 'BF-01' }, widthsMm: [900, 1000, 1080], ...asked },
    TODAY,
  );
  return question && compareWidths(question, { secondsLeft: () => 0, report: () => {} });
};

describe('which width to buy', () => {
  it('of a grade counts the orders of all products that are coated on it first', async () => {
    const all = await compared({});
    const codes = all?.products.map(({ product }) => product) ?? [];
    expect(codes.length).toBeGreaterThan(1);
    expect(codes).toEqual(
      await db('product_grades').where({ code: 'BF-01', position: 0 }).orderBy('product').pluck('product'),
    );
    const each = await Promise.all(codes.map((product) => compared({ of: { product } })));
    all?.widths.forEach(({ cost }, i) => {
      const sum = each.reduce((total, one) => total + (one?.widths[i]?.cost as number), 0);
      expect(cost).toBeCloseTo(sum, 6);
    });
  });
  it('counts only orders that are due up to a day, where one is given', async () => {
    const [all, soon] = [await compared({}), await compared({ until: '2027-03-10' as IsoDate })];
    expect(soon?.metresAsked).toBeGreaterThan(0);
    expect(soon?.metresAsked).toBeLessThan(all?.metresAsked as number);
    expect(await compared({ until: '2027-02-01' as IsoDate })).toBeUndefined();
  });
  it('is not asked of what is not there, and has no answer while nobody offers the film', async () => {
    await expect(compared({ of: { grade: 'BF-none' } })).rejects.toMatchObject({ code: 'not-found' });
    await db('offers').where({ grade: 'BF-01' }).update({ currency: 'JPY' });
    expect(await compared({})).toBeUndefined();
  });
});
