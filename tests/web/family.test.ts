// Pages that follow a roll back to the supplier's lot, and a lot forward to customers.
import { beforeAll, describe, expect, it } from 'vitest';
import { type Child, makeOf } from '../support/made.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

describe('the family of a roll', () => {
  let plant: Plant;
  let order: { code: string; customer: string; name: string };
  beforeAll(async () => {
    plant = await openPlant();
    const { db } = plant;
    const { item } = await db('rolls').where('kind', 'coated').orderBy('code').first('item');
    const { code: base } = await db('rolls')
      .where({ kind: 'base', status: 'released' })
      .orderBy('code')
      .first('code');
    await db('rolls').where('code', base).update({ lot: 'L <7>/A' });
    const orders = db('order_lines as o').join('customers as c', 'c.code', 'o.customer').orderBy('o.code');
    order = await orders.first('o.code', 'o.customer', 'c.name');
    const coated = { kind: 'coated' as const, item, widthUm: 800_000, lengthMm: 900_000, massMg: 60_000 };
    await makeOf(
      db,
      base,
      Array.from({ length: 14 }, (_, i) => ({ ...coated, code: `C${10 + i}`, lengthMm: 10_000 })),
    );
    const strips = Array.from(
      { length: 60 },
      (_, i): Child => ({
        code: `F${100 + i}`,
        kind: 'finished',
        item,
        widthUm: 12_000,
        lengthMm: 9000,
        massMg: 1000,
        ...(i < 59 ? { order: order.code } : {}),
      }),
    );
    await makeOf(db, 'C10', strips);
  });
  const open = async (path: string) => new Visitor(plant.app).open(path);

  it('leads from a finished roll to the lot and to the customer', async () => {
    const page = await open('/rolls/f100/family');
    expect(page.status).toBe(200);
    expect(page.text).toContain('1 roll of lot L &lt;7&gt;/A');
    expect(page.text).toContain(`For ${order.name}, order ${order.code}, released.`.replaceAll("'", '&#39;'));
    expect(page.text).toContain('href="/lots/L%20%3C7%3E%2FA"');
  });

  it('leads from a lot to customers, folding what a picture cannot hold', async () => {
    const page = await open('/lots/L%20%3C7%3E%2FA');
    expect(page.status).toBe(200);
    expect(page.text).toContain('14 coated rolls. 60 finished rolls for 2 orders of 1 customer.');
    expect(page.text).toContain('and 3 more');
    expect(page.text).not.toContain('<7>');
  });

  it('lists the single rolls of an order page by page', async () => {
    const first = await open(`/rolls/C10/family?order=${encodeURIComponent(order.code)}`);
    expect(first.text).toContain(`59 rolls for ${order.code}`);
    expect(first.text).toContain('page 1 of 2');
    expect(first.text).toContain('>F149<');
    const second = await open(`/rolls/C10/family?order=${encodeURIComponent(order.code)}&page=2`);
    expect(second.text).toContain('>F158<');
    expect(second.text).not.toContain('>F149<');
  });

  it('says so when there is no such roll or lot', async () => {
    expect((await open('/rolls/none/family')).status).toBe(404);
    const none = await open('/lots/none');
    expect(none.status).toBe(404);
    expect(none.text).toContain('There is no lot none.');
  });

  it('is reached from the page of a roll, and from its lot', async () => {
    const { code } = await plant.db('rolls').where('lot', 'L <7>/A').first('code');
    const page = await open(`/rolls/${code}`);
    expect(page.text).toContain(`href="/rolls/${code}/family"`);
    expect(page.text).toContain('href="/lots/L%20%3C7%3E%2FA"');
  });
});
