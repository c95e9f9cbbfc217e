// Purchase orders step by step: draft, sent, confirmed in part, late with the orders and customers it hits, closed.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { addDays, type IsoDate } from '../../src/domain/units.ts';
import { confirmPurchaseOrder } from '../../src/usecases/buying/confirmPurchaseOrder.ts';
import { createPurchaseOrder } from '../../src/usecases/buying/createPurchaseOrder.ts';
import { filmNeeds } from '../../src/usecases/buying/filmNeeds.ts';
import { lateFilm } from '../../src/usecases/buying/lateFilm.ts';
import { movePurchaseOrder } from '../../src/usecases/buying/movePurchaseOrder.ts';
import { openPurchaseOrder } from '../../src/usecases/buying/readPurchaseOrders.ts';
import { planLateFilm } from '../../src/usecases/planning/planLateFilm.ts';
import { readPlan } from '../../src/usecases/planning/readPlan.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let grade: string;
let supplier: string;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  const { grades } = await filmNeeds(db, TODAY, 26);
  grade = grades.find(({ net, orders }) => net.shortOn && orders.length > 1)?.grade as string;
  supplier = (await db('offers').where({ grade }).first()).supplier;
});

let key = 0;
const draft = async (wantedOn: string, rolls = '10') => {
  key += 1;
  const line = {
    grade,
    offer: '',
    widthUm: '1000',
    lengthMm: '10000',
    rolls,
    pricePerKg: '',
    wantedOn,
    confirmedOn: '',
  };
  const head = { code: '', supplier, status: 'draft', orderedOn: '', note: '' };
  const made = await createPurchaseOrder(db, { head, lines: [line], requestKey: `steps-test-${key}` }, TODAY);
  return made.ok ? made.code : '';
};
const confirmed = (confirmedOn: string, confirmedRolls: string) =>
  new Map([[1, { confirmedOn, confirmedRolls }]]);
const refused = (step: Promise<unknown>) =>
  step.then(
    () => 'done',
    (error) => error.code,
  );

describe('a purchase order', () => {
  it('is sent once, with the day on which it was ordered', async () => {
    const code = await draft('2027-05-03');
    await movePurchaseOrder(db, code, 'send', TODAY);
    await movePurchaseOrder(db, code, 'send', addDays(TODAY, 3));
    expect(await openPurchaseOrder(db, code)).toMatchObject({ status: 'sent', orderedOn: TODAY });
  });
  it('is confirmed line by line, all of it or nothing', async () => {
    const code = await draft('2027-05-03');
    expect(await refused(confirmPurchaseOrder(db, code, confirmed('2027-05-03', '10')))).toBe(
      'purchase-order-step',
    );
    await movePurchaseOrder(db, code, 'send', TODAY);
    const bad = await confirmPurchaseOrder(db, code, confirmed('soon', '8'));
    expect(bad).toMatchObject({ ok: false, faults: [{ line: 1, field: 'confirmedOn' }] });
    expect((await openPurchaseOrder(db, code)).lines[0]?.confirmedRolls).toBeNull();
    const before = await confirmPurchaseOrder(db, code, confirmed('2027-02-27', '8'));
    expect(before).toMatchObject({
      ok: false,
      faults: [{ line: 1, field: 'confirmedOn', wrong: '2027-02-27 lies before the order, 2027-03-01' }],
    });
    await confirmPurchaseOrder(db, code, confirmed('2027-05-10', '8'));
    const order = await openPurchaseOrder(db, code);
    expect(order.status).toBe('confirmed');
    expect(order.lines[0]).toMatchObject({ confirmedOn: '2027-05-10', confirmedRolls: 8 });
  });
  it('is closed or cancelled, and nothing follows on that', async () => {
    const code = await draft('2027-05-03');
    await movePurchaseOrder(db, code, 'cancel', TODAY);
    expect(await refused(movePurchaseOrder(db, code, 'send', TODAY))).toBe('purchase-order-step');
    expect(await refused(movePurchaseOrder(db, code, 'close', TODAY))).toBe('purchase-order-step');
    expect(await refused(movePurchaseOrder(db, 'PO-none', 'send', TODAY))).toBe('not-found');
  });
});

describe('late film', () => {
  it('names the orders and customers that run short because of it, and nobody while it is in time', async () => {
    await db('purchase_orders').update({ status: 'cancelled' });
    const need = (await filmNeeds(db, TODAY, 26)).grades.find((one) => one.grade === grade);
    const shortOn = need?.net.shortOn as IsoDate;
    const code = await draft(shortOn, '1000');
    await movePurchaseOrder(db, code, 'send', TODAY);
    await confirmPurchaseOrder(db, code, confirmed(shortOn, '1000'));
    expect(await lateFilm(db, TODAY)).toEqual([]);
    await confirmPurchaseOrder(db, code, confirmed(addDays(shortOn, 200), '1000'));
    const [late] = await lateFilm(db, TODAY);
    expect(late).toMatchObject({ why: 'confirmed late', order: { code } });
    const expected = need?.orders.filter(({ needOn }) => needOn >= shortOn).map(({ order }) => order) ?? [];
    expect(late?.hit.map(({ order }) => order).sort()).toEqual([...new Set(expected)].sort());
    const { customer } = await db('order_lines').where({ code: late?.hit[0]?.order }).first();
    const { name } = await db('customers').where({ code: customer }).first();
    expect(late?.hit[0]?.customerName).toBe(name);
  });
  it('has its orders planned again, with film on the way as rolls that are there when they are expected', async () => {
    const [late] = await lateFilm(db, TODAY);
    const code = late?.order.code as string;
    const before = await readPlan(db, await planLateFilm(db, code, TODAY));
    expect(before.status).toBe('queued');
    for (const { order } of late?.hit ?? []) expect(late?.sharing).toContain(order);
    expect(before.problem.orders.map(({ id }) => id).sort()).toEqual([...(late?.sharing ?? [])].sort());
    expect(before.problem.rolls?.find(({ id }) => id === `${code} line 1`)).toMatchObject({
      ...{ kind: 'base', item: grade, widthMm: 1000, lengthM: 10_000, count: 1000 },
      readyOn: late?.line.confirmedOn,
    });
    expect(parseProblem(before.problem).ok).toBe(true);
    const other = await draft('2027-05-03');
    expect(await refused(planLateFilm(db, other, TODAY))).toBe('nothing-to-plan');
  });
  it('is overdue once its day has passed, until it is closed', async () => {
    const [late] = await lateFilm(db, '2028-01-03' as IsoDate);
    expect(late?.why).toBe('overdue');
    await movePurchaseOrder(db, late?.order.code as string, 'close', TODAY);
    expect(await lateFilm(db, '2028-01-03' as IsoDate)).toEqual([]);
  });
});
