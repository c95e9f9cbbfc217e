// Insight worked out in a real worker thread, beside real plans.
import type { Knex } from 'knex';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Jobs, startJobs } from '../../src/jobs/jobs.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument } from '../support/planFixture.ts';

let db: Knex;
let jobs: Jobs;
beforeAll(async () => {
  db = await freshDatabase();
  jobs = await startJobs(db, {}, { info: () => {}, error: () => {} });
});
afterAll(() => jobs.stop());

/** Few rolls on one width. Invented figures. */
const document = () => ({
  ...fixtureDocument(),
  orders: [{ id: 'SO-1', product: 'CP-10', widthMm: 110, lengthM: 300, rolls: 27, overPct: 10 }],
});

describe('insight in the background', () => {
  it('answers, and leaves the pages free meanwhile', async () => {
    let beats = 0;
    const heart = setInterval(() => beats++, 20);
    const insight = await jobs.insight(1, document());
    clearInterval(heart);
    expect(insight.base!.least).toBeGreaterThan(0);
    expect(insight.lines.some((line) => line.what === 'one-more-roll' && line.order === 'SO-1')).toBe(true);
    expect(beats).toBeGreaterThan(5);
  }, 60_000);
  it('gives two who ask the same one answer, and refuses the fifth question at a time', async () => {
    const first = jobs.insight(1, document());
    expect(jobs.insight(1, document())).toBe(first);
    const others = [2, 3, 4].map((id) => jobs.insight(id, document()));
    expect(() => jobs.insight(5, document())).toThrow(expect.objectContaining({ code: 'planner-busy' }));
    await Promise.all([first, ...others]);
    await jobs.insight(5, document());
  }, 120_000);
});
