// Terms that reach beyond one page: an offer in another currency in plans and in the books, and deliveries that came late in
// the lead time of the next proposal.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { addDays, type IsoDate } from '../../src/domain/units.ts';
import { type BuyingState, buyingState } from '../../src/usecases/buying/buyingState.ts';
import { createPurchaseOrder } from '../../src/usecases/buying/createPurchaseOrder.ts';
import { proposeBuying } from '../../src/usecases/buying/proposeBuying.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { receiveRolls } from '../../src/usecases/receiving/receiveRolls.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const SETTINGS = { weeks: 26, costPerOrder: 180, holdingShare: 0.25, serviceFactor: 1.645 };
let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});

let key = 0;
/** An order of one roll that comes so many days after the day wanted. @returns the roll as booked. */
async function bought(line: Record<string, string>, more: { currency: string; daysLate: number }) {
  key += 1;
  const orderedOn = addDays(TODAY, -200);
  const wantedOn = addDays(TODAY, -60);
  const head = { supplier: 'S3', status: 'sent', orderedOn, currency: more.currency };
  const typed = { grade: 'BF-09', widthUm: '1050', lengthMm: '10000', rolls: '1', wantedOn, ...line };
  const made = await createPurchaseOrder(
    db,
    { head, lines: [typed], requestKey: `terms-order-${key}` },
    TODAY,
  );
  if (!made.ok) throw new Error(JSON.stringify(made.faults));
  const receipt = {
    ...{ purchaseOrder: made.code, receivedOn: addDays(wantedOn, more.daysLate), tolerancePct: '2' },
    ...{ numbers: 'our next numbers', lengthMm: '10000', item: 'BF-09', widthUm: '1050' },
  };
  const who = { by: 'Mara', requestKey: `terms-receipt-${key}`, mode: 'all' as const, confirmed: [] };
  const done = await receiveRolls(db, { head: receipt, list: `T-${key} 10000` }, who);
  if (!done.ok) throw new Error(JSON.stringify(done.faults));
  const { roll } = await db('received_rolls')
    .where({ supplier_roll: `T-${key}` })
    .first();
  return db('rolls').where({ code: roll }).first();
}
const propose = async (): Promise<{ state: BuyingState; proposal: ReturnType<typeof proposeBuying> }> => {
  const state = await buyingState(db, TODAY, SETTINGS);
  return { state, proposal: proposeBuying(state, { secondsLeft: () => Infinity, report: () => {} }) };
};

describe('an offer in another currency', () => {
  it('takes part in plans at the rate of their day, and in none while there is no rate', async () => {
    const priceOf = async () =>
      (await buildProblem(db, { products: ['CP-80'], planOn: TODAY })).offers?.find(
        ({ id }) => id === 'S3-BF-09-1050',
      )?.pricePerKg;
    expect(await priceOf()).toBe(2.8);
    await db('offers').where({ code: 'S3-BF-09-1050' }).update({ currency: 'USD' });
    expect(await priceOf()).toBeCloseTo(2.8 * 0.9, 9);
    await db('rates').insert({ code: 'NEW', currency: 'USD', from_on: addDays(TODAY, -3), rate: 0.8 });
    await db('rates').insert({ code: 'LATER', currency: 'USD', from_on: addDays(TODAY, 3), rate: 0.5 });
    expect(await priceOf()).toBeCloseTo(2.8 * 0.8, 9);
    await db('offers').where({ code: 'S3-BF-09-1050' }).update({ currency: 'JPY' });
    expect(await priceOf()).toBeUndefined();
    await db('offers').where({ code: 'S3-BF-09-1050' }).update({ currency: 'EUR' });
  });
  it('stands in the books at the rate of the day on which the film came', async () => {
    const roll = await bought({ pricePerKg: '3' }, { currency: 'USD', daysLate: 0 });
    // 1.05 m x 10,000 m x 23 um x 1.395 g/cm3; the rate of that day was 0.9
    expect(Number(roll.cost_per_roll)).toBeCloseTo(1.05 * 10_000 * 0.023 * 1.395 * 3 * 0.9, 2);
  });
});

describe('deliveries that came late', () => {
  it('are added to the lead time of the offer once there are five, with their deviation', async () => {
    const before = await propose();
    const first = before.proposal.grades.find(({ grade }) => grade === 'BF-09');
    expect(first?.lines[0]?.lead).toMatchObject({ days: 91, from: 'offer', deliveries: 1 });
    for (const daysLate of [4, 8, 12, 16]) await bought({}, { currency: 'EUR', daysLate });
    const { state, proposal } = await propose();
    expect(state.delays).toEqual([{ supplier: 'S3', days: [0, 4, 8, 12, 16] }]);
    const line = proposal.grades.find(({ grade }) => grade === 'BF-09')?.lines[0];
    expect(line?.lead).toMatchObject({ days: 91 + 8, from: 'record', deliveries: 5, meanDelayDays: 8 });
    expect(line?.lead.spreadDays).toBeCloseTo(Math.sqrt(40), 9);
    // 91 + 8 + 6.3 days, rounded up: the first day on which it can be counted on
    expect(line?.wantedOn).toBe(addDays(TODAY, 106));
    expect(line?.orderBy).toBe(TODAY);
    const { figures } = proposal.grades.find(({ grade }) => grade === 'BF-09') ?? {};
    expect(figures?.leadWeeks).toBeCloseTo(99 / 7, 9);
    expect(figures?.leadDeviationWeeks).toBeCloseTo(Math.sqrt(40) / 7, 9);
  });
});
