// How long a customer waits for a first answer where some 500 order lines are open: in the mix of the demo plant, and with
// half of them of one product. Asked on a state that nobody has planned yet, on one that was prepared in the background,
// and after one more order came in. The whole way is measured, from the question to the stored answer, through the program's
// own desk and its workers: processor time, in which what is prepared behind an answer counts too, and the time that passed,
// in which the database and whatever else runs here count.
import type { Knex } from 'knex';
import type { Question } from '../../src/domain/question.ts';
import { addDays, type IsoDate } from '../../src/domain/units.ts';
import { startJobs } from '../../src/jobs/jobs.ts';
import { keptInTime } from '../../src/usecases/sales/askBaseline.ts';
import {
  answerToRefine,
  askQuestion,
  storeRefined,
  type Think,
} from '../../src/usecases/sales/askQuestion.ts';
import { productsAsked, stateToPrepare, storePrepared } from '../../src/usecases/sales/prepareAnswers.ts';
import { refineAnswer } from '../../src/usecases/sales/refineAnswer.ts';
import { cpuSeconds, median } from './cpuSeconds.ts';
import { fillManyOrders, type Mix } from './manyOrders.ts';
import { onScratchDatabase } from './scratchDatabase.ts';

const TODAY = '2027-03-01' as IsoDate;
const LINES = 500;
const IN_DEMO = 45;
const LARGE = { product: 'CP-10', lines: 250, inDemo: 9 };
const WANTED_SECONDS = 2;

const MIXES: Record<string, Mix> = {
  'in the mix of the demo plant': (_product, inDemo) => Math.round((LINES * inDemo) / IN_DEMO),
  'half of them of one product': (product, inDemo) =>
    product === LARGE.product
      ? LARGE.lines
      : Math.round(((LINES - LARGE.lines) * inDemo) / (IN_DEMO - LARGE.inDemo)),
};

export async function benchSales(): Promise<void> {
  for (const [name, mix] of Object.entries(MIXES))
    await onScratchDatabase(async (db) => {
      const open = await fillManyOrders(db, TODAY, mix);
      console.log(`\n${open} open order lines, ${name}`);
      const products = await productsAsked(db);
      await prepare(db, products, false);
      const jobs = await startJobs(db, {}, QUIET);
      const ask = (what: string, rolls: number) => measure(what, db, products, rolls, jobs.questions.think);
      try {
        await ask('first answers on a state that nobody has planned', 7);
        await prepare(db, products, true);
        await ask('first answers on a prepared state', 11);
        await oneMoreOrder(db, products);
        await ask('first answers after one more order of each product', 13);
      } finally {
        await jobs.stop();
      }
      await refineAll(db);
    });
}

/** Sizes of the product: few and many rolls, with and without a day, near and far. */
async function questionsOf(db: Knex, product: string, rolls: number): Promise<Question[]> {
  const size = await db('order_lines').where({ product, status: 'open' }).orderBy('code').first();
  const base = { product, widthUm: size.width_um, lengthMm: size.length_mm, overPct: 0, underPct: 0 };
  const asked = [
    { rolls, dueOn: undefined },
    { rolls: 5 * rolls, dueOn: addDays(TODAY, 30) },
    { rolls, dueOn: addDays(TODAY, 2) },
    { rolls: 100 * rolls, dueOn: addDays(TODAY, 20) },
  ];
  return asked.map((one) => ({ ...base, ...one }) as Question);
}

const clock = (seconds: number) => {
  const start = performance.now();
  return { secondsLeft: () => seconds - (performance.now() - start) / 1000, report: () => {} };
};
const QUIET = { info: () => {}, error: console.error };

async function measure(
  what: string,
  db: Knex,
  products: string[],
  rolls: number,
  think: Think,
): Promise<void> {
  const times: { seconds: number; passed: number; product: string; verdict: string }[] = [];
  for (const product of products)
    for (const question of await questionsOf(db, product, rolls)) {
      const [start, began] = [cpuSeconds(), performance.now()];
      const asked = await askQuestion(db, TODAY, question, think);
      if (!asked.ok) throw new Error(JSON.stringify(asked.faults));
      const [seconds, passed] = [cpuSeconds() - start, (performance.now() - began) / 1000];
      times.push({ seconds, passed, product, verdict: asked.stored.answer.verdict });
    }
  const sorted = times.toSorted((a, b) => b.seconds - a.seconds);
  const verdicts = [...new Set(times.map(({ verdict }) => verdict))].map(
    (one) => `${times.filter(({ verdict }) => verdict === one).length} ${one}`,
  );
  const slow = times.filter(({ seconds }) => seconds > WANTED_SECONDS).length;
  const passed = times.map((one) => one.passed);
  console.log(
    `${what}: ${times.length} questions, processor median ${median(times.map(({ seconds }) => seconds)).toFixed(2)} s, longest ${sorted
      .slice(0, 3)
      .map(({ seconds, product }) => `${seconds.toFixed(2)} s (${product})`)
      .join(
        ', ',
      )}; above ${WANTED_SECONDS} s: ${slow}; passed: median ${median(passed).toFixed(2)} s, longest ${Math.max(...passed).toFixed(2)} s; ${verdicts.join(', ')}`,
  );
}

/** What the orders of each product keep; stored, or only to see how long it takes. */
async function prepare(db: Knex, products: string[], store: boolean): Promise<void> {
  const start = cpuSeconds();
  const each: string[] = [];
  for (const product of products) {
    const began = cpuSeconds();
    const found = await stateToPrepare(db, TODAY, product);
    if (!found) continue;
    const kept = keptInTime(found.task.state, found.task.before, clock(600));
    if (store) await storePrepared(db, found, kept);
    const lines = found.task.state.document.orders.length;
    each.push(`${product} ${lines} lines ${(cpuSeconds() - began).toFixed(1)} s`);
  }
  console.log(
    `${store ? 'still to be prepared' : 'prepared from nothing'}, processor ${(cpuSeconds() - start).toFixed(1)} s: ${each.join(', ')}`,
  );
}

async function oneMoreOrder(db: Knex, products: string[]): Promise<void> {
  for (const product of products) {
    const { id, ...order } = await db('order_lines')
      .where({ product, status: 'open' })
      .orderBy('code')
      .first();
    await db('order_lines').insert({
      ...order,
      code: `NEW-${product}`,
      rolls: 3,
      due_on: addDays(TODAY, 40),
    });
  }
}

/** The second look, in the background, at the last answer of each product. */
async function refineAll(db: Knex): Promise<void> {
  const ids = await db('answers').where({ refined: false }).orderBy('id', 'desc').limit(6).pluck('id');
  const times: number[] = [];
  for (const id of ids) {
    const start = cpuSeconds();
    const found = await answerToRefine(db, id);
    if (!found) continue;
    await storeRefined(
      db,
      id,
      found.hash,
      refineAnswer(found.task, clock(600), () => clock(20)),
    );
    times.push(cpuSeconds() - start);
  }
  console.log(
    `second looks: ${times.length}, processor median ${median(times).toFixed(1)} s, longest ${Math.max(...times).toFixed(1)} s`,
  );
}
