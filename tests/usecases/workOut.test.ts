// Yes and no held against an independent integer program on random small states: it writes out every set and every way of
// dividing every roll, and shares no rule with the planner. A yes must be a plan that passes the check; a no must carry a
// certificate whose bound the integer program confirms; and where it finds that nothing need be missing, no is never said.
import { describe, expect, it } from 'vitest';
import { ASKED, isYes, type Kept, type SalesState } from '../../src/domain/answer.ts';
import { type ProblemDocument, parseProblem } from '../../src/domain/problemDocument.ts';
import { type Question, rollsTaken } from '../../src/domain/question.ts';
import { addDays, mmToUm, mToMm } from '../../src/domain/units.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { type WorkedOut, workOut } from '../../src/usecases/sales/workOut.ts';
import { leastCost } from '../planner/reference/fullModel.ts';
import { randomProblem, seeded } from '../planner/reference/randomProblem.ts';
import { randomPurchases } from '../planner/reference/randomPurchases.ts';
import { forSeconds, SALES_DAY } from '../support/sales.ts';

/** A random problem as a state: its last order is the question, made larger or smaller so that both answers are common. */
function randomQuestion(seed: number, dated: boolean): { state: SalesState; question: Question } {
  const random = seeded(seed + 7_000);
  const document = seed % 3 === 0 ? randomPurchases(seed) : randomProblem(seed);
  const asked = document.orders.at(-1)!;
  const rolls = Math.max(1, Math.round(asked.rolls * (0.5 + 12 * random() ** 2)));
  const state: SalesState = {
    today: SALES_DAY,
    product: asked.product,
    document: { ...document, planOn: SALES_DAY, orders: document.orders.slice(0, -1), fillers: [] },
    finished: [],
    setAside: [],
  };
  if (dated) {
    for (const order of state.document.orders)
      if (random() < 0.7) order.dueOn = addDays(SALES_DAY, Math.floor(20 * random()));
    for (const roll of state.document.rolls ?? [])
      if (random() < 0.5) roll.readyOn = addDays(SALES_DAY, Math.floor(15 * random()));
  }
  const question: Question = {
    product: asked.product,
    widthUm: mmToUm(asked.widthMm),
    lengthMm: mToMm(asked.lengthM),
    rolls,
    dueOn: dated ? addDays(SALES_DAY, Math.floor(12 * random())) : undefined,
    overPct: asked.overPct ?? 0,
    underPct: asked.underPct ?? 0,
  };
  return { state, question };
}

const problemOf = (document: unknown) => {
  const read = parseProblem(document);
  if (!read.ok) throw new Error(JSON.stringify(read.faults));
  return read.problem;
};

/** What is kept and what is asked, nothing costing anything but falling short: written here, apart from the use case. */
function onlyWhatIsMissing({ document }: SalesState, kept: Kept, q: Question): ProblemDocument {
  const { minRolls, maxRolls } = rollsTaken(q);
  const slack = (least: number, most: number) => ({ rolls: least, overPct: (100 * (most - least)) / least });
  const asked = {
    id: 'ASKED',
    product: q.product,
    widthMm: q.widthUm / 1000,
    lengthM: q.lengthMm / 1000,
    ...slack(minRolls, maxRolls),
  };
  const others = document.orders.flatMap((order) => {
    const rolls = kept.orders.find(({ id }) => id === order.id)?.rolls ?? 0;
    const most = Math.max(rolls, Math.floor(order.rolls * (1 + (order.overPct ?? 0) / 100) + 1e-9));
    const { id, product, widthMm, lengthM } = order;
    return rolls > 0 ? [{ id, product, widthMm, lengthM, ...slack(rolls, most) }] : [];
  });
  const bought = kept.bought.map(({ readyOn, ...roll }) => roll);
  return {
    ...document,
    slitters: document.slitters.map(({ costPerHour, ...slitter }) => slitter),
    products: document.products.map((one) =>
      one.coating ? { ...one, coating: { ...one.coating, costPerM2: 0 } } : one,
    ),
    rolls: [...(document.rolls ?? []), ...bought].map((roll) => ({ ...roll, costPerRoll: 0 })),
    offers: (document.offers ?? []).map((offer) => ({ ...offer, pricePerKg: 0, minOrderKg: 0 })),
    orders: [...others, asked],
    costs: { perShortM2: 1 },
  };
}

function expectReproduced({ answer, kept }: WorkedOut): void {
  const { evidence, question } = answer;
  expect(evidence).toBeDefined();
  expect(checkPlan(problemOf(evidence!.document), evidence!.plan)).toEqual([]);
  const planned = new Map(evidence!.plan.orders.map((one) => [one.id, one]));
  const asked = planned.get(ASKED)!;
  expect(asked.planned).toBeGreaterThanOrEqual(rollsTaken(question).minRolls);
  if (question.dueOn) expect(asked.readyOn! <= question.dueOn).toBe(true);
  for (const { id, rolls, by } of kept.orders) {
    expect(planned.get(id)!.planned).toBeGreaterThanOrEqual(rolls);
    if (by) expect(planned.get(id)!.readyOn! <= by).toBe(true);
  }
}

function expectConfirmed({ answer }: WorkedOut): void {
  const { document, missingM2, minutes, days } = answer.certificate!;
  // The program of days is held against another one in datedAnswers.test.ts.
  if (days) return;
  const { cost } = leastCost(problemOf(document));
  expect(cost).toBeDefined();
  if (minutes) {
    // A price of 1 for each minute of the machine.
    expect(minutes.needed).toBeGreaterThan(minutes.there);
    expect(cost!).toBeGreaterThanOrEqual(minutes.needed - 1e-6);
    return;
  }
  expect(missingM2).toBeGreaterThan(0);
  // The certificate's price is 1000 for a missing m2.
  expect(cost! / 1000).toBeGreaterThanOrEqual(missingM2 - 1e-6);
}

const MANY = Number(process.env.LANEWRIGHT_MANY ?? 40);
const seeds = Array.from({ length: MANY }, (_, k) => k + 1);

describe('an answer without a day, on random small states', () => {
  it('is yes exactly where the integer program finds that nothing need be missing', {
    timeout: 600_000,
  }, () => {
    const told = { yes: 0, no: 0, open: 0 };
    for (const seed of seeds) {
      const { state, question } = randomQuestion(seed, false);
      const worked = workOut(state, question, undefined, forSeconds(60));
      const { answer, kept } = worked;
      const exact = leastCost(problemOf(onlyWhatIsMissing(state, kept, question)));
      if (exact.cost === undefined) continue;
      const feasible = exact.cost < 1e-6;
      if (isYes(answer)) {
        told.yes += 1;
        expect({ seed, feasible }).toEqual({ seed, feasible: true });
        expectReproduced(worked);
      } else if (answer.verdict === 'no') {
        told.no += 1;
        expect({ seed, feasible }).toEqual({ seed, feasible: false });
        expectConfirmed(worked);
      } else told.open += 1;
    }
    if (process.env.LANEWRIGHT_MANY) console.log(told);
    expect(told.yes).toBeGreaterThan(MANY / 5);
    expect(told.no).toBeGreaterThan(MANY / 5);
    // Where it knows neither, it says so; that must be rare.
    expect(told.open).toBeLessThanOrEqual(MANY / 10);
  });

  it('has the same verdict every time it is worked out', { timeout: 120_000 }, () => {
    for (const seed of seeds.slice(0, 8)) {
      const { state, question } = randomQuestion(seed, false);
      const verdicts = [1, 2].map(() => workOut(state, question, undefined, forSeconds(60)).answer.verdict);
      expect(verdicts[1]).toBe(verdicts[0]);
    }
  });
});

describe('an answer by a day, on random small states', () => {
  it('makes every yes and every part of one a checked plan, and proves every no and every later', {
    timeout: 600_000,
  }, () => {
    const told: Record<string, number> = {};
    for (const seed of seeds) {
      const { state, question } = randomQuestion(seed, true);
      const worked = workOut(state, question, undefined, forSeconds(60));
      const { answer } = worked;
      told[answer.verdict] = (told[answer.verdict] ?? 0) + 1;
      if (isYes(answer)) expectReproduced(worked);
      if (answer.certificate) expectConfirmed(worked);
      if (answer.verdict === 'no') expect(answer.certificate).toBeDefined();
      if (answer.verdict === 'part' || answer.verdict === 'later')
        expect(checkPlan(problemOf(answer.evidence!.document), answer.evidence!.plan)).toEqual([]);
    }
    expect(Object.keys(told).length).toBeGreaterThan(2);
  });
});
