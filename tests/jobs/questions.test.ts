// Questions through the desk and its worker threads: what orders keep is prepared in the background and stored; a question
// that comes before is answered all the same, with no more than is certain, and again once it is known; and a worker knows
// every task that is sent to it.
import fs from 'node:fs';
import type { Knex } from 'knex';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { findState } from '../../src/store/answers.ts';
import { askQuestion, readAnswer } from '../../src/usecases/sales/askQuestion.ts';
import { firstLook } from '../../src/usecases/sales/firstLook.ts';
import { salesState } from '../../src/usecases/sales/salesState.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { forSeconds, question, SALES_DAY } from '../support/sales.ts';

let db: Knex;
let jobs: Jobs;
const errors: unknown[] = [];
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, SALES_DAY);
  jobs = await startJobs(db, {}, { info: () => {}, error: (error) => errors.push(error) });
}, 60_000);
afterAll(() => jobs.stop());

/** Waits until `done` says so. */
async function until(done: () => Promise<boolean>): Promise<void> {
  for (let tries = 0; tries < 600; tries++) {
    if (await done()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error(`still not done; errors: ${JSON.stringify(errors)}`);
}

/** More orders of CP-10 than are planned while somebody waits. */
async function manyOrders(): Promise<void> {
  const like = await db('order_lines').where({ product: 'CP-10', status: 'open' }).orderBy('code');
  const more = like.slice(0, 6).map(({ id, ...order }, k) => ({ ...order, code: `MORE-${k}`, rolls: 2 }));
  await db('order_lines').insert(more);
}

describe('questions in the background', () => {
  it('sends workers no task that they do not know', () => {
    const read = (file: string) =>
      fs.readFileSync(new URL(`../../src/jobs/${file}`, import.meta.url), 'utf8');
    const desks = fs
      .readdirSync(new URL('../../src/jobs', import.meta.url))
      .filter((file) => file.endsWith('.ts'))
      .map(read);
    const sent = desks.flatMap((text) => [...text.matchAll(/name: '(\w+)'/g)].map(([, name]) => name!));
    expect(sent.length).toBeGreaterThan(5);
    const known = read('planWorkerEntry.mjs');
    expect([...new Set(sent)].filter((name) => !new RegExp(`\\b${name}\\b`).test(known))).toEqual([]);
  });

  it('prepares what the orders of every product keep', { timeout: 120_000 }, async () => {
    jobs.questions.prepare(SALES_DAY);
    const { hash } = await salesState(db, SALES_DAY, 'CP-10');
    await until(async () => (await findState(db, hash))?.kept !== undefined);
  });

  it('says only what is certain before that is known, and the same question again afterwards', {
    timeout: 120_000,
  }, async () => {
    await db('sales_states').delete();
    await manyOrders();
    const asked = question({ rolls: 5 });
    // Asked by somebody who does not wait at all for what the orders keep.
    const working = await askQuestion(db, SALES_DAY, asked, async ({ state, question }) =>
      firstLook(state, question, undefined, undefined, forSeconds(60)),
    );
    if (!working.ok) throw new Error(JSON.stringify(working.faults));
    expect(working.stored.answer.verdict).toBe('working');
    jobs.questions.refine(working.stored.id);
    const now = async () => (await readAnswer(db, working.stored.id))!;
    await until(async () => (await now()).answer.verdict !== 'working');
    expect((await now()).answer.verdict).toBe('coated');
    expect(errors).toEqual([]);
  });

  it('says no at once where not even the asked rolls alone can be made', { timeout: 60_000 }, async () => {
    await db('sales_states').delete();
    const impossible = question({ widthUm: 1_060_000, rolls: 3 });
    const answered = await askQuestion(db, SALES_DAY, impossible, jobs.questions.think);
    if (!answered.ok) throw new Error(JSON.stringify(answered.faults));
    expect(answered.stored.answer.verdict).toBe('no');
    expect(answered.stored.answer.certificate!.missingM2).toBeGreaterThan(0);
  });
});
