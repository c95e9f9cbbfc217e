// Promises on the demo plant: an answer becomes an order line or a quote that is held, its film and finished rolls are
// reserved, and of two people who promise on the same state one is told to ask again.
import type { Knex } from 'knex';
import { beforeEach, describe, expect, it } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { salesState } from '../../src/usecases/sales/salesState.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { ask, askThrough, promise, SALES_DAY } from '../support/sales.ts';
import { pastTheLedger } from '../support/stock.ts';

let db: Knex;
beforeEach(async () => {
  db = await freshDatabase();
  await seedDemo(db, SALES_DAY);
}, 60_000);

const shelf = (codes: string[], change: object = {}) =>
  pastTheLedger(db, (trx) =>
    trx('rolls').insert(
      codes.map((code) => ({
        ...{ code, kind: 'finished', item: 'CP-10', width_um: 83_000, length_mm: 300_000 },
        ...{ status: 'released', ...change },
      })),
    ),
  );
const order = (code: string) => db('order_lines').where({ code }).first();
const refusal = (code: string) => expect.objectContaining({ name: 'Refusal', code });

describe('an answer on the demo plant', () => {
  it('is the same for the same question on the same state, worked out once', async () => {
    const first = await ask(db, { dueOn: '2027-03-17' });
    const again = await ask(db, { dueOn: '2027-03-17' });
    expect(again).toEqual(first);
    expect(first.answer.verdict).toBe('coated');
    expect(await db('answers').count()).toEqual([{ count: 1 }]);
  });

  it('has a plan that passes the independent check, in which every open order keeps its rolls and its day', async () => {
    const { answer } = await ask(db, { dueOn: '2027-03-17' });
    const read = parseProblem(answer.evidence?.document);
    if (!read.ok || !answer.evidence) throw new Error('no evidence');
    expect(checkPlan(read.problem, answer.evidence.plan)).toEqual([]);
    const open = await db('order_lines').where({ product: 'CP-10', status: 'open' }).pluck('code');
    const kept = answer.evidence.plan.orders.filter(({ short }) => short === 0).map(({ id }) => id);
    expect(kept).toEqual(expect.arrayContaining([...open, 'asked rolls']));
  });

  it('says first by when at the latest, never no; the second look proves what is not possible by the day', async () => {
    const size = { product: 'CP-80', widthUm: 145_000, lengthMm: 1_000_000 };
    const asked = { ...size, rolls: 40, dueOn: '2027-03-02' };
    const first = await ask(db, asked);
    expect(first).toMatchObject({ refined: false, answer: { verdict: 'latest' } });
    expect(first.answer.certificate).toBeUndefined();
    const { answer, refined } = await askThrough(db, asked);
    expect(refined).toBe(true);
    expect(['later', 'part']).toContain(answer.verdict);
    expect(answer.certificate?.missingRolls).toBeGreaterThan(0);
    expect(answer.readyOn! <= first.answer.readyOn!).toBe(true);
    expect((await ask(db, asked)).answer).toEqual(answer);
  });

  it('is another one once the stock has changed', async () => {
    const before = await ask(db);
    await shelf(['F1', 'F2']);
    const after = await ask(db);
    expect(after.state).not.toBe(before.state);
    expect(after.answer.fromShelf).toEqual(['F1', 'F2']);
  });

  it('takes finished rolls from the shelf first, and only those that are free, in time and of the very size', async () => {
    await shelf(['F1', 'F2', 'F3', 'F4'].slice(0, 3));
    await shelf(['F4'], { order_line: 'SO-4101' });
    await shelf(['F5'], { use_by: '2027-02-01' });
    await shelf(['F6'], { status: 'on hold' });
    await shelf(['F7'], { width_um: 84_000 });
    const { answer } = await ask(db, { rolls: 3 });
    expect(answer).toMatchObject({ verdict: 'finished', fromShelf: ['F1', 'F2', 'F3'], readyOn: SALES_DAY });
    expect((await ask(db, { rolls: 4 })).answer).toMatchObject({ verdict: 'coated', toSlit: 1 });
  });

  it('leaves the hours of the slitter to other products that need them first', async () => {
    const before = await ask(db, { dueOn: '2027-03-17' });
    // On the same slitter, from other film.
    const like = await db('order_lines').where({ product: 'CP-60' }).first();
    await db('order_lines').insert({ ...like, code: 'BIG', rolls: 100_000, due_on: '2027-03-09' });
    const { answer } = await ask(db, { dueOn: '2027-03-17' });
    expect(answer.readyOn! > before.answer.readyOn!).toBe(true);
    const document = answer.evidence!.document;
    expect(document.slitters.find(({ id }) => id === 'SL-1')?.calendar?.taken?.length).toBeGreaterThan(5);
    const read = parseProblem(document);
    if (!read.ok) throw new Error('no problem');
    expect(checkPlan(read.problem, answer.evidence!.plan)).toEqual([]);
    // The same plan told a day sooner is caught by the check.
    const sooner = answer.evidence!.plan.runs.map((run) => ({ ...run, startsOn: SALES_DAY }));
    expect(checkPlan(read.problem, { ...answer.evidence!.plan, runs: sooner })).not.toEqual([]);
  });

  it('refuses a width that no slitter takes, by its field, and stores nothing', async () => {
    await expect(ask(db, { widthUm: 1_200_000 })).rejects.toThrow(/"field":"width".*at most 1068 mm/);
    expect(await db('answers').count()).toEqual([{ count: 0 }]);
  });
  it('refuses a product that does not exist', async () => {
    await expect(ask(db, { product: 'CP-77' })).rejects.toEqual(refusal('not-found'));
  });
});

describe('a promise', () => {
  it('becomes an open order line with its day, and reserves the rolls that its plan takes', async () => {
    const { id, answer } = await ask(db, { dueOn: '2027-03-17' });
    expect(await promise(db, id, { order: 'SO-9001' })).toEqual({ ok: true, orders: ['SO-9001'] });
    expect(await order('SO-9001')).toMatchObject({ status: 'open', due_on: '2027-03-17', rolls: 40 });
    const plan = answer.evidence?.plan;
    const taken = plan?.runs
      .filter(({ strips }) => strips.some((strip) => strip.order === 'asked rolls'))
      .flatMap(({ from }) => from.map(({ roll }) => roll));
    const held = await db('promised_rolls').pluck('roll');
    expect(held.sort()).toEqual([...new Set(taken)].sort());
    expect(held.length).toBeGreaterThan(0);
  });

  it('is kept by the next answer, which plans around it', async () => {
    const { id } = await ask(db, { dueOn: '2027-03-17' });
    await promise(db, id, { order: 'SO-9001' });
    const next = await ask(db, { dueOn: '2027-03-17' });
    expect(next.id).not.toBe(id);
    const mine = next.answer.evidence?.plan.orders.find((one) => one.id === 'SO-9001');
    expect(mine).toMatchObject({ short: 0, lateDays: 0 });
  });

  it('is made once, however often its form is sent, at once or later', async () => {
    const { id } = await ask(db);
    const same = { order: 'SO-9001', requestKey: 'the-same-request' };
    const sent = await Promise.all([1, 2, 3].map(() => promise(db, id, same)));
    sent.push(await promise(db, id, same));
    expect(sent).toEqual(sent.map(() => ({ ok: true, orders: ['SO-9001'] })));
    expect(await db('promises').count()).toEqual([{ count: 1 }]);
  });

  it('goes to one of two people who promise on the same state; the other is told that it is no longer so', async () => {
    await shelf(['F1', 'F2']);
    const { id } = await ask(db, { rolls: 2 });
    const both = await Promise.allSettled([
      promise(db, id, { order: 'SO-9001', by: 'Ann' }),
      promise(db, id, { order: 'SO-9002', by: 'Ben' }),
    ]);
    expect(both.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    const refused = both.find((one) => one.status === 'rejected');
    expect(refused?.reason).toEqual(refusal('no-longer-so'));
    expect(await db('order_lines').whereIn('code', ['SO-9001', 'SO-9002']).count()).toEqual([{ count: 1 }]);
    expect((await ask(db, { rolls: 2 })).answer).toMatchObject({ verdict: 'coated', fromShelf: [] });
  });

  it('gives finished rolls to the order, which then counts as made', async () => {
    await shelf(['F1', 'F2']);
    const { id } = await ask(db, { rolls: 2 });
    await promise(db, id, { order: 'SO-9001' });
    expect(await db('rolls').where({ order_line: 'SO-9001' }).orderBy('code').pluck('code')).toEqual([
      'F1',
      'F2',
    ]);
    expect(await order('SO-9001')).toMatchObject({ status: 'made' });
  });

  it.each([
    [{ order: '' }, 'order', 'Order is missing'],
    [{ order: 'SO-4101' }, 'order', 'order line SO-4101 is there already'],
    [{ order: 'two words' }, 'order', '"two words" is not a code'],
    [{ customer: 'C-99' }, 'customer', 'there is no customer "C-99"'],
    [{ kind: 'quote' as const, hours: '0' }, 'hours', '"0" is no time to hold a quote'],
    [{ kind: 'quote' as const, hours: 'long' }, 'hours', '"long" is no time to hold a quote'],
  ])('with %j is a fault of its field, and nothing is saved', async (change, field, wrong) => {
    const { id } = await ask(db);
    const made = await promise(db, id, change);
    expect(made).toMatchObject({ ok: false, faults: [{ field, wrong }] });
    expect(await db('promises').count()).toEqual([{ count: 0 }]);
  });

  it('is refused where the answer is no yes', async () => {
    await pastTheLedger(db, (trx) => trx('rolls').delete());
    await db('offers').delete();
    expect((await ask(db)).answer.verdict).toBe('no');
    const { id, answer } = await askThrough(db);
    expect(answer.verdict).toBe('no');
    await expect(promise(db, id)).rejects.toEqual(refusal('nothing-to-promise'));
    await expect(promise(db, 999_999)).rejects.toEqual(refusal('not-found'));
  });
});

describe('a quote', () => {
  it('counts as an open order until it lapses, and then frees what it held', async () => {
    await shelf(['F1', 'F2']);
    const { id } = await ask(db, { rolls: 2 });
    await promise(db, id, { order: 'Q-1', kind: 'quote', hours: '2' });
    expect(await order('Q-1')).toMatchObject({ status: 'quoted' });
    expect((await ask(db, { rolls: 2 })).answer.fromShelf).toEqual([]);
    const held = await salesState(db, SALES_DAY, 'CP-10');
    expect(held.state.document.orders.map((one) => one.id)).toContain('Q-1');
    await db('promises').update({ until: db.raw("now() - interval '1 minute'") });
    const free = await salesState(db, SALES_DAY, 'CP-10');
    expect(free.state.document.orders.map((one) => one.id)).not.toContain('Q-1');
    expect((await ask(db, { rolls: 2 })).answer.fromShelf).toEqual(['F1', 'F2']);
  });
});
