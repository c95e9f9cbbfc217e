// What to buy and which width, worked out in a real worker thread: what the page shows meanwhile, and one answer for the same
// question on the same state.
import type { Knex } from 'knex';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { cutBound } from '../../src/planner/bounding/cutBound.ts';
import { buyingState } from '../../src/usecases/buying/buyingState.ts';
import type { WidthComparison } from '../../src/usecases/buying/compareWidths.ts';
import { widthQuestion } from '../../src/usecases/buying/widthQuestion.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const SETTINGS = { weeks: 26, costPerOrder: 180, holdingShare: 0.25, serviceFactor: 1.645 };
let db: Knex;
let jobs: Jobs;
const logged: string[] = [];
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  const log = { info: () => {}, error: (_facts: object, words: string) => void logged.push(words) };
  jobs = await startJobs(db, {}, log);
});
afterAll(() => jobs.stop());

/** Asks again as the page does; what was heard on the way. */
async function untilThere<Answer>(ask: () => Promise<{ answer: Answer | undefined; progress?: unknown }>) {
  const onTheWay: unknown[] = [];
  for (;;) {
    const heard = await ask();
    if (heard.answer !== undefined) return { answer: heard.answer, onTheWay };
    onTheWay.push(heard.progress);
  }
}

describe('what to buy, in the background', () => {
  it('is proposed once for one state, and anew when the state has changed', async () => {
    const state = await buyingState(db, TODAY, SETTINGS);
    const { answer } = await untilThere(() => jobs.buying.proposal(state));
    expect(answer.orders.length).toBeGreaterThan(0);
    expect(answer.plan?.proved).toBe(true);
    const again = await jobs.buying.proposal(await buyingState(db, TODAY, SETTINGS));
    expect(again.answer).toBe(answer);
    await db('offers').update({ price_per_kg: db.raw('price_per_kg * 2') });
    const dearer = await untilThere(async () => jobs.buying.proposal(await buyingState(db, TODAY, SETTINGS)));
    expect(dearer.answer.plan?.film).toBeCloseTo(2 * (answer.plan?.film as number), 4);
    expect(logged).toEqual([]);
  }, 120_000);
});

describe('which width to buy, in the background', () => {
  let found: WidthComparison;
  const widthsMm = [900, 960, 1020, 1080];
  it('shows the curve while full plans are made, and leaves the pages free meanwhile', async () => {
    const question = await widthQuestion(db, { of: { product: 'CP-40' }, widthsMm }, TODAY);
    if (!question) throw new Error('nothing is asked for');
    let beats = 0;
    const heart = setInterval(() => beats++, 20);
    const { answer, onTheWay } = await untilThere(() => jobs.buying.widths(question));
    clearInterval(heart);
    found = answer;
    expect(beats).toBeGreaterThan(20);
    expect(onTheWay.length).toBeGreaterThan(0);
    expect(found.done).toBe(found.of);
    expect(found.of).toBeGreaterThan(2);
  }, 180_000);
  it('puts a checked plan beside the bound of each of the best few, and never below it', () => {
    for (const { least, plan, widthsMm: widths } of found.menus) {
      expect(plan, `${widths}`).toBeDefined();
      expect(plan?.cost as number).toBeGreaterThanOrEqual(least - 1e-6);
      expect(plan?.cost as number).toBeGreaterThanOrEqual((plan?.bound as number) - 1e-6);
      expect(plan?.filmM2 as number).toBeGreaterThan(0);
    }
  });
  it('names as the best, as the best pair and as one more width what costs least of all that were tried', async () => {
    const question = (await widthQuestion(db, { of: { product: 'CP-40' }, widthsMm }, TODAY)) as NonNullable<
      Awaited<ReturnType<typeof widthQuestion>>
    >;
    const { document, filmPerM2, products, menuMm, widthsMm: tried } = question;
    expect(tried).toEqual([...new Set([...widthsMm, ...menuMm])].sort((a, b) => a - b));
    const lengths = [...new Set(document.orders.map(({ lengthM }) => lengthM))];
    const edges =
      2 *
      Math.max(
        document.products[0]?.coating?.coatFreeEdgeMm?.left ?? 0,
        Math.min(...document.slitters.map(({ edgeTrimMinMm }) => edgeTrimMinMm?.left ?? 0)),
      );
    const most = Math.max(...document.slitters.map(({ maxStrips }) => maxStrips ?? 1000));
    const cost = (...menu: number[]): number =>
      lengths.reduce((sum, lengthM) => {
        const strips = document.orders
          .filter((order) => order.lengthM === lengthM)
          .map(({ widthMm, rolls }) => ({ widthUm: widthMm * 1000, metres: rolls * lengthM }));
        const webs = menu.map((mm) => ({
          ...{ widthUm: mm * 1000, edgesUm: edges * 1000 },
          costPerM: (mm / 1000) * (filmPerM2 + (products[0]?.coatingPerM2 as number)),
        }));
        return sum + (cutBound(webs, strips, most)?.cost ?? Infinity);
      }, 0);
    const least = Math.min(...tried.map((mm) => cost(mm)));
    expect(found.best?.cost).toBeCloseTo(least, 6);
    const pairs = tried.flatMap((a) => tried.filter((b) => b > a).map((b) => cost(a, b)));
    expect(found.pair?.cost).toBeCloseTo(Math.min(...pairs), 6);
    const besides = widthsMm.filter((mm) => !menuMm.includes(mm)).map((mm) => cost(...menuMm, mm));
    expect(found.oneMore?.saves).toBeCloseTo(Math.max(0, cost(...menuMm) - Math.min(...besides)), 6);
  });
});
