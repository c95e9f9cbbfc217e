// Late film: the orders it hits are planned again by themselves, once for each cause, and the pages say what came out.
import type { Knex } from 'knex';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { addDays, daysBetween, type IsoDate } from '../../src/domain/units.ts';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { confirmPurchaseOrder } from '../../src/usecases/buying/confirmPurchaseOrder.ts';
import { createPurchaseOrder } from '../../src/usecases/buying/createPurchaseOrder.ts';
import { filmNeeds } from '../../src/usecases/buying/filmNeeds.ts';
import { lateFilm } from '../../src/usecases/buying/lateFilm.ts';
import { movePurchaseOrder } from '../../src/usecases/buying/movePurchaseOrder.ts';
import { replanLateFilm } from '../../src/usecases/planning/planLateFilm.ts';
import { readFinishedPlan } from '../../src/usecases/planning/readPlan.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { untilEnded } from '../support/server.ts';
import { behindPages, Visitor } from '../web/plant.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let jobs: Jobs | undefined;
let code: string;
let shortOn: IsoDate;
const logged: string[] = [];

/** The demo plant with two orders of one grade, no roll that may still be used and no offer, and an order of film for the day on which it runs short. */
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  const { grades } = await filmNeeds(db, TODAY, 26);
  const need = grades.find(({ net, orders }) => net.shortOn && orders.length > 1);
  const grade = need?.grade as string;
  shortOn = need?.net.shortOn as IsoDate;
  const kept = [...new Set(need?.orders.filter(({ needOn }) => needOn >= shortOn).map(({ order }) => order))];
  await db('order_lines').whereNotIn('code', kept.slice(0, 2)).update({ status: 'cancelled' });
  await db('rolls').update({ use_by: '2027-02-01' });
  await db('offers').update({ valid_until: '2027-02-01' });
  const { supplier } = await db('offers').where({ grade }).first();
  const line = { grade, offer: '', widthUm: '1000', lengthMm: '10000', rolls: '20', pricePerKg: '' };
  const head = { code: '', supplier, status: 'draft', orderedOn: '', note: '' };
  const lines = [{ ...line, wantedOn: shortOn, confirmedOn: '' }];
  const made = await createPurchaseOrder(db, { head, lines, requestKey: 'late-film-test' }, TODAY);
  if (!made.ok) throw new Error(JSON.stringify(made.faults));
  code = made.code;
  await movePurchaseOrder(db, code, 'send', TODAY);
});
afterAll(() => jobs?.stop());

const confirm = (days: number) =>
  confirmPurchaseOrder(
    db,
    code,
    new Map([[1, { confirmedOn: addDays(shortOn, days), confirmedRolls: '20' }]]),
  );
const waiting = async (): Promise<number[]> =>
  (await db('plans').where({ status: 'queued' }).orderBy('id').select('id')).map(({ id }) => id);

describe('late film', () => {
  it('asks for no plan while it is in time', async () => {
    await confirm(0);
    expect(await replanLateFilm(db, TODAY)).toEqual([]);
    expect(await waiting()).toEqual([]);
  });
  it('asks for one plan of its orders, whoever looks, however often', async () => {
    await confirm(40);
    const asked = await Promise.all([replanLateFilm(db, TODAY), replanLateFilm(db, TODAY)]);
    expect(asked.flat()).toHaveLength(1);
    expect(await replanLateFilm(db, addDays(TODAY, 1))).toEqual([]);
    expect(await waiting()).toEqual(asked.flat());
  });
  it('takes the plan that waits for an older day out of the queue when another is confirmed', async () => {
    const [before] = await waiting();
    await confirm(50);
    const [after] = await replanLateFilm(db, TODAY);
    expect(after).toBeGreaterThan(before as number);
    expect(await waiting()).toEqual([after]);
    expect((await db('plans').where({ id: before }).first()).status).toBe('cancelled');
  });
  it('leaves nothing half done when the queue is full, and asks again later', async () => {
    await confirm(60);
    await db.raw(`insert into plans (title, problem) select 'full', '{}' from generate_series(1, 100)`);
    const kept = await db('late_replans').count();
    await expect(replanLateFilm(db, TODAY)).rejects.toMatchObject({ code: 'plan-queue-full' });
    expect(await db('late_replans').count()).toEqual(kept);
    await db('plans').where({ title: 'full' }).delete();
    expect(await replanLateFilm(db, TODAY)).toHaveLength(1);
  });
  it('is found and planned in the background, and the pages say who is hit, by how many days', async () => {
    await db('late_replans').delete();
    await db('plans').delete();
    const log = { info: () => {}, error: (_facts: object, words: string) => void logged.push(words) };
    jobs = await startJobs(db, {}, log);
    jobs.lateFilm.look(() => TODAY);
    const end = Date.now() + 20_000;
    while (Date.now() < end && (await db('late_replans').whereNotNull('plan')).length === 0)
      await new Promise((resolve) => setTimeout(resolve, 50));
    const { plan } = await db('late_replans').first();
    expect(await untilEnded(db, plan)).toBe('done');
    expect(logged).toEqual([]);
    const [late] = await lateFilm(db, TODAY);
    const made = (await readFinishedPlan(db, plan)).plan.orders;
    expect(late?.outcome).toMatchObject({ plan, state: 'done', planned: made.length });
    expect(late?.outcome?.hit.length).toBeGreaterThan(0);
    for (const { order, promisedOn, newOn, days } of late?.outcome?.hit ?? []) {
      expect(newOn).toBe(made.find(({ id }) => id === order)?.readyOn);
      expect(promisedOn).toBe((await db('order_lines').where({ code: order }).first()).due_on);
      expect(days).toBe(daysBetween(promisedOn as IsoDate, newOn as IsoDate));
    }
    const visitor = new Visitor(behindPages(db, TODAY).app);
    const hit = late?.outcome?.hit[0];
    for (const page of [`/purchase-orders/${code}`, '/']) {
      const { text } = await visitor.open(page);
      expect(text).toContain(`promised for ${hit?.promisedOn}, now ${hit?.newOn}`);
      expect(text).toContain(`href="/plans/${plan}"`);
    }
  }, 60_000);
  it('is asked for anew once it is overdue', async () => {
    const then = addDays(shortOn, 61);
    const asked = await replanLateFilm(db, then);
    expect(asked).toHaveLength(1);
    expect((await lateFilm(db, then))[0]).toMatchObject({ why: 'overdue', outcome: { plan: asked[0] } });
  });
});
