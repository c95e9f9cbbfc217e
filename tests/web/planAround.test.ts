// The plan page's form for planning again around kept runs, and the page of what a little more would be worth.
import type { Knex } from 'knex';
import request from 'supertest';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';
import { startServer, type TestServer } from '../support/server.ts';

let db: Knex;
let server: TestServer;
let cookie = '';
let token = '';
let id = 0;

beforeAll(async () => {
  db = await freshDatabase();
  server = await startServer(db, '2027-03-01' as IsoDate);
  const page = await request(server.url).get('/plans/file');
  cookie = String(page.headers['set-cookie']).split(';')[0]!;
  token = /name="_token" value="([^"]+)"/.exec(page.text)![1]!;
  const [row] = await db('plans')
    .insert({
      title: 'CP-10, 3 orders',
      products: ['CP-10'],
      problem: JSON.stringify(fixtureDocument()),
      plan: JSON.stringify(fixturePlan()),
      seconds_limit: 1,
      status: 'done',
    })
    .returning('id');
  id = row.id;
});
afterAll(() => server.stop());

const open = (path: string) => request(server.url).get(path).set('Cookie', cookie);
const send = (fields: [string, string][]) =>
  request(server.url)
    .post(`/plans/${id}/around`)
    .set('Cookie', cookie)
    .type('form')
    .send(new URLSearchParams([['_token', token], ...fields]).toString());

describe('planning again around kept runs, from the plan page', () => {
  it('says what is wrong, and keeps what was ticked and typed', async () => {
    const page = await send([
      ['keep', '2'],
      ['failed', 'R<7>, R7030'],
    ]);
    expect(page.status).toBe(422);
    expect(page.text).toContain('there is no single roll &#34;R&lt;7&gt;&#34;');
    expect(page.text).toMatch(/name="keep" value="2"[^>]* checked/);
    expect(page.text).not.toMatch(/name="keep" value="1"[^>]* checked/);
    expect(page.text).toContain('value="R&lt;7&gt;, R7030"');
  });
  it('asks for a run or a roll when nothing is given', async () => {
    const page = await send([]);
    expect(page.status).toBe(422);
    expect(page.text).toContain('no run is kept and no roll has failed');
  });
  it('queues a plan with the run locked, whose comparison says what was kept', async () => {
    const answer = await send([['keep', '1']]);
    expect(answer.status).toBe(303);
    const child = Number(/\/plans\/(\d+)$/.exec(answer.headers.location)![1]);
    expect((await db('plans').where({ id: child }).first('problem', 'parent_plan_id')).parent_plan_id).toBe(
      id,
    );
    const plan = fixturePlan();
    await db('plans')
      .where({ id: child })
      .update({ status: 'done', plan: JSON.stringify(plan) });
    const page = await open(`/plans/compare?plan=${id}&plan=${child}`);
    const settings = new Set(
      plan.runs.map((run) => JSON.stringify([run.trimLeftMm, run.strips.map((s) => s.toMm)])),
    );
    expect(page.text).toContain(
      `Plan ${child} is plan ${id} planned again around 1 kept run. Of its knife settings ${settings.size} are`,
    );
    const own = await open(`/plans/${child}`);
    expect(own.text).toMatch(/name="keep" value="1"[^>]* checked/);
  });
});

describe('what would pay', () => {
  it('is a page and a file, worked out on demand and not stored', async () => {
    const before = await db('plans').where({ id }).first();
    const page = await open(`/plans/${id}/insight`);
    expect(page.status).toBe(200);
    expect(page.text).toContain('One more roll would cost');
    const file = await open(`/plans/${id}/insight.json`);
    expect(file.headers['content-type']).toContain('application/json');
    const insight = JSON.parse(file.text);
    expect(insight.base.least).toBeLessThanOrEqual(insight.base.most);
    expect(insight.words.length).toBeGreaterThan(0);
    expect(await db('plans').where({ id }).first()).toEqual(before);
  }, 120_000);
  it('is not there for a plan that is not finished', async () => {
    const [row] = await db('plans')
      .insert({ title: 't', products: [], problem: JSON.stringify(fixtureDocument()), status: 'cancelled' })
      .returning('id');
    expect((await open(`/plans/${row.id}/insight`)).status).toBe(409);
    expect((await open('/plans/99999/insight')).status).toBe(404);
  });
});
