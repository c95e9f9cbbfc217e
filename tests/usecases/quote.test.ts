// What it costs: the floor of a quote part by part on the demo plant, held against arithmetic of its own; the loss that is
// expected, the price of the day, and offers to the customer, which by their bounds can never cost more for asking less.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Answer } from '../../src/domain/answer.ts';
import type { Quote } from '../../src/domain/quote.ts';
import { addDays } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { askThrough, SALES_DAY } from '../support/sales.ts';

let db: Knex;
let answer: Answer;
let quote: Quote;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, SALES_DAY);
  const stored = await askThrough(db, { dueOn: addDays(SALES_DAY, 16) });
  answer = stored.answer;
  quote = stored.quote as Quote;
}, 120_000);
const amount = (of: Quote, what: string) => of.lines.find((line) => line.what === what)?.amount as number;

describe('the floor of a quote', () => {
  it('has film, set-ups, running and expected loss, each with its source, and adds up', () => {
    expect(quote.lines.map(({ what }) => what)).toEqual([
      'film',
      'set-ups',
      'running',
      'rolls that do not come out good',
    ]);
    expect(quote.lines.every(({ source }) => source.length > 20)).toBe(true);
    expect(quote.planned).toBeCloseTo(
      quote.lines.reduce((sum, line) => sum + line.amount, 0),
      6,
    );
    expect(quote.floor).toBe(Math.max(quote.planned, quote.marginal as number));
    expect(quote.perM2).toBeCloseTo(quote.floor / (40 * 0.083 * 300), 9);
  });

  it('has machine time between that of a full web and that of a web of its own', () => {
    const slitter = answer.evidence!.document.slitters.find(({ id }) => id === 'SL-1')!;
    // 300 m at full speed with the ramps, and the change of the set.
    const ramps = (slitter.rampUpSeconds! + slitter.rampDownSeconds!) / 120;
    const perSet = 300 / slitter.metresPerMinute! + ramps + slitter.minutesPerSetChange!;
    const inFull = (40 * 83 * perSet * slitter.costPerHour!) / 1050 / 60;
    expect(amount(quote, 'running')).toBeGreaterThanOrEqual(inFull - 1e-6);
    expect(amount(quote, 'running')).toBeLessThanOrEqual((40 * perSet * slitter.costPerHour!) / 60);
    expect(amount(quote, 'set-ups')).toBeGreaterThan(0);
  });

  it('is above what its bare film costs: at the margin nothing comes without its part of the trim', () => {
    const roll = answer.evidence!.document.rolls!.find(({ id }) => id === 'R7031')!;
    const perM2 = roll.costPerRoll! / ((roll.widthMm * roll.lengthM) / 1000);
    expect(quote.perM2).toBeGreaterThan(perM2 * 0.9);
  });

  it('has a price of the day by plans that lies between what the bounds allow', () => {
    const { byPlans, atLeast, atMost } = quote.rush!;
    expect(byPlans).toBeGreaterThanOrEqual(atLeast);
    expect(atMost).toBeGreaterThanOrEqual(byPlans);
    expect(atLeast).toBeGreaterThanOrEqual(0);
  });

  it('expects the loss that the orders of the product expect', async () => {
    await db('order_lines').where({ product: 'CP-10' }).update({ good_roll_pct: 80 });
    const { quote: lossy } = await askThrough(db, { dueOn: addDays(SALES_DAY, 16) });
    const others = lossy!.lines.slice(0, -1).reduce((sum, line) => sum + line.amount, 0);
    expect(amount(lossy!, 'rolls that do not come out good')).toBeCloseTo(others / 4, 6);
    expect(lossy!.lines.at(-1)!.source).toContain('80 of 100 rolls come out good');
    await db('order_lines').where({ product: 'CP-10' }).update({ good_roll_pct: null });
  }, 120_000);
});

describe('offers to the customer', () => {
  it('are a tolerance, the neighbouring catalogue widths and another day, each a question of its own', () => {
    // Within a fifth of 83 mm there is one catalogue width.
    const offered = quote.offers.map(({ what, question: { widthUm, underPct, dueOn } }) => ({
      ...{ what, widthUm, underPct, dueOn },
    }));
    const dueOn = addDays(SALES_DAY, 16);
    expect(offered).toEqual([
      { what: 'tolerance', widthUm: 83_000, underPct: 10, dueOn },
      { what: 'width', widthUm: 89_000, underPct: 0, dueOn },
      { what: 'date', widthUm: 83_000, underPct: 0, dueOn: undefined },
    ]);
  });

  it('cost all orders no more where they ask for less: a wider tolerance, no day', () => {
    const total = (rolls: number, perM2: number) => rolls * perM2;
    const asked = total(40, quote.asAskedPerM2 as number);
    const tolerance = quote.offers.find(({ what }) => what === 'tolerance')!;
    expect(total(36, tolerance.perM2 as number)).toBeLessThanOrEqual(asked * 1.001);
    const date = quote.offers.find(({ what }) => what === 'date')!;
    expect(total(40, date.perM2 as number)).toBeLessThanOrEqual(asked * 1.001);
  });
});
