// The price of the day against integer programs that write out every set (fullModel.ts), on random small problems of which
// some rolls come only after the day: the least cost from the rolls in time less the least cost from all rolls.
import { describe, expect, it } from 'vitest';
import { ASKED, type Evidence, type SalesState } from '../../src/domain/answer.ts';
import { type ProblemDocument, parseProblem } from '../../src/domain/problemDocument.ts';
import type { Question } from '../../src/domain/question.ts';
import { addDays, mmToUm, mToMm } from '../../src/domain/units.ts';
import { NOTHING_KEPT } from '../../src/usecases/sales/askKept.ts';
import { workOut } from '../../src/usecases/sales/workOut.ts';
import { workOutQuote } from '../../src/usecases/sales/workOutQuote.ts';
import { leastCost } from '../planner/reference/fullModel.ts';
import { randomProblem, seeded } from '../planner/reference/randomProblem.ts';
import { forSeconds, SALES_DAY } from '../support/sales.ts';

const MANY = Number(process.env.LANEWRIGHT_MANY ?? 12);
const DUE = addDays(SALES_DAY, 10);
const AFTER = addDays(SALES_DAY, 30);

/** The last order of a random problem is asked for by a day; about half of the rolls come after it. */
function randomRush(seed: number): { state: SalesState; question: Question } {
  const random = seeded(seed + 500);
  const document = randomProblem(seed);
  const asked = document.orders.at(-1)!;
  const rolls = document.rolls!.map((roll) => (random() < 0.5 ? { ...roll, readyOn: AFTER } : roll));
  const slitters = document.slitters.map(({ costPerHour, ...slitter }) => slitter);
  const state: SalesState = {
    today: SALES_DAY,
    product: asked.product,
    document: { ...document, planOn: SALES_DAY, slitters, rolls, offers: [], orders: [], fillers: [] },
    finished: [],
    setAside: [],
  };
  const { overPct = 0, underPct = 0 } = asked;
  const [widthUm, lengthMm] = [mmToUm(asked.widthMm), mToMm(asked.lengthM)];
  const question = {
    product: asked.product,
    widthUm,
    lengthMm,
    rolls: asked.rolls,
    dueOn: DUE,
    overPct,
    underPct,
  };
  return { state, question };
}

/** Of the problem of an answer the least cost, from all rolls or from those that are there by the day. */
function exactCost({ document }: Evidence, inTimeOnly: boolean): number | undefined {
  const rolls = (document.rolls ?? [])
    .filter(({ readyOn }) => !inTimeOnly || readyOn !== AFTER)
    .map(({ readyOn, ...roll }) => roll);
  const orders = document.orders.filter(({ id }) => id === ASKED).map(({ dueOn, ...order }) => order);
  const undated: ProblemDocument = { ...document, rolls, orders };
  const read = parseProblem(undated);
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return leastCost(read.problem).cost;
}

describe('the price of the day', () => {
  it('lies between its proven bounds, and is exact where it is said to be proved', {
    timeout: 300_000,
  }, () => {
    const told = { proved: 0, between: 0, more: 0 };
    for (let seed = 1; seed <= MANY; seed++) {
      const { state, question } = randomRush(seed);
      const { answer } = workOut(state, question, NOTHING_KEPT, forSeconds(60));
      if (answer.verdict !== 'coated' && answer.verdict !== 'coat') continue;
      const control = forSeconds(60);
      const quote = workOutQuote(state, NOTHING_KEPT, question, 0, control, question, answer.evidence);
      const [dear, cheap] = [exactCost(answer.evidence!, true), exactCost(answer.evidence!, false)];
      if (!quote || dear === undefined || cheap === undefined) continue;
      const { byPlans, atLeast, atMost, proved } = quote.rush!;
      const price = dear - cheap;
      if (price > 0.01) told.more += 1;
      told[proved ? 'proved' : 'between'] += 1;
      expect({ seed, atLeast: atLeast <= price + 0.01, atMost: price <= atMost + 0.01 }).toEqual({
        seed,
        atLeast: true,
        atMost: true,
      });
      if (proved) expect(byPlans).toBeCloseTo(price, 1);
    }
    if (process.env.LANEWRIGHT_MANY) console.log(told);
    expect(told.proved).toBeGreaterThan(MANY / 5);
    expect(told.more).toBeGreaterThan(0);
  });
});
