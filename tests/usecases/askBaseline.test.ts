// What the orders keep, carried over a change of stock or orders: nobody who kept rolls by a day loses them, what is new is
// planned around the rest, and runs whose rolls are gone are made from others.
import { beforeAll, describe, expect, it } from 'vitest';
import type { Kept, SalesState } from '../../src/domain/answer.ts';
import { keptAtOnce, keptInTime } from '../../src/usecases/sales/askBaseline.ts';
import { salesState } from '../../src/usecases/sales/salesState.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { forSeconds, SALES_DAY } from '../support/sales.ts';

let state: SalesState;
let kept: Kept;
beforeAll(async () => {
  const db = await freshDatabase();
  await seedDemo(db, SALES_DAY);
  state = (await salesState(db, SALES_DAY, 'CP-10')).state;
  kept = keptInTime(state, undefined, forSeconds(120));
  await db.destroy();
}, 120_000);
const withOrders = (orders: SalesState['document']['orders']): SalesState => ({
  ...state,
  document: { ...state.document, orders },
});

function expectNobodyWorseOff(now: Kept): void {
  const has = new Map(now.orders.map((one) => [one.id, one]));
  for (const { id, rolls, by } of kept.orders) {
    expect(has.get(id)?.rolls ?? 0, id).toBeGreaterThanOrEqual(rolls);
    if (by) expect(has.get(id)!.by! <= by, id).toBe(true);
  }
}

describe('what orders keep', () => {
  it('stays as it is where nothing has changed', () => {
    expect(keptAtOnce(state, kept, forSeconds(60))?.runs).toEqual(kept.runs);
  });

  it('stays for all of them when one more order comes in, which is planned around them', () => {
    const [first] = state.document.orders;
    const more = withOrders([
      ...state.document.orders,
      { ...first!, id: 'NEW', rolls: 4, dueOn: '2027-04-20' },
    ]);
    const now = keptAtOnce(more, kept, forSeconds(60)) as Kept;
    expectNobodyWorseOff(now);
    expect(now.orders.find(({ id }) => id === 'NEW')).toMatchObject({ rolls: 4, by: '2027-04-20' });
    const places = (of: Kept) => new Set(of.runs.map(({ from }) => JSON.stringify(from)));
    expect([...places(kept)].every((place) => places(now).has(place))).toBe(true);
  });

  it('is planned from other film when a roll of it is gone', () => {
    const gone = kept.runs[0]!.from[0]!.roll;
    const rolls = state.document.rolls!.filter(({ id }) => id !== gone);
    const now = keptAtOnce(
      { ...state, document: { ...state.document, rolls } },
      kept,
      forSeconds(60),
    ) as Kept;
    expect(now.runs.flatMap(({ from }) => from.map(({ roll }) => roll))).not.toContain(gone);
    expect(now.orders.length).toBe(kept.orders.length);
  });

  it('gives up what was for an order that is cancelled', () => {
    const id = kept.runs[0]!.strips.find(({ order }) => order)!.order;
    const now = keptAtOnce(
      withOrders(state.document.orders.filter((order) => order.id !== id)),
      kept,
      forSeconds(60),
    ) as Kept;
    expect(now.runs.flatMap(({ strips }) => strips.map(({ order }) => order))).not.toContain(id);
    expect(now.orders.map((one) => one.id)).not.toContain(id);
  });
});
