// The plan pages over HTTP: choosing, faults, the finished plan, the files, two plans compared. Plans that must be
// there at once are written into the row by hand; the planner itself is tested elsewhere.
import type { Knex } from 'knex';
import request from 'supertest';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';
import { startServer, type TestServer } from '../support/server.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let server: TestServer;
let cookie = '';
let token = '';

beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  server = await startServer(db, TODAY);
  const page = await request(server.url).get('/plans');
  cookie = String(page.headers['set-cookie']).split(';')[0]!;
  token = /name="_token" value="([^"]+)"/.exec(page.text)![1]!;
});
afterAll(() => server.stop());

const open = (path: string) => request(server.url).get(path).set('Cookie', cookie);
const send = (path: string, fields: [string, string][] = []) =>
  request(server.url)
    .post(path)
    .set('Cookie', cookie)
    .type('form')
    .send(new URLSearchParams([['_token', token], ...fields]).toString());
/** Only the words of a page, blanks joined. */
const words = (html: string) =>
  html
    .replace(/<svg[\s\S]*?<\/svg>|<script[\s\S]*?<\/script>|<[^>]+>/g, ' ')
    .replace(/&#34;|&quot;/g, '"')
    .replace(/&#39;/g, "'")
    .replace(/\s+/g, ' ');

async function stored(status: string, more: object = {}): Promise<number> {
  const row = {
    title: 'CP-10, 3 orders',
    products: ['CP-10'],
    problem: JSON.stringify(fixtureDocument()),
    seconds_limit: 20,
  };
  const [{ id }] = await db('plans')
    .insert({ ...row, status, ...more })
    .returning('id');
  return id;
}
const finished = (change: (plan: Plan) => void = () => {}, more: object = {}) => {
  const plan = fixturePlan();
  change(plan);
  return stored('done', { plan: JSON.stringify(plan), ...more });
};

describe('choosing what to plan', () => {
  it('shows every product with open orders, what they want and what is in stock', async () => {
    const page = await open('/plans');
    expect(page.status).toBe(200);
    const products = await db('order_lines').where({ status: 'open' }).distinct('product').pluck('product');
    expect(products.length).toBeGreaterThan(3);
    for (const product of products) expect(page.text).toContain(`name="product" value="${product}"`);
  });
  it('ticks beforehand what the address names', async () => {
    const page = await open('/plans?product=CP-10&order=SO-4201');
    expect(page.text).toMatch(/value="CP-10" data-all checked/);
  });
  it('answers 422 with what was ticked and typed still there', async () => {
    const page = await send('/plans', [
      ['order', 'SO-4101'],
      ['seconds', '9999'],
    ]);
    expect(page.status).toBe(422);
    expect(words(page.text)).toContain('"9999" is not a time limit');
    expect(page.text).toContain('value="9999"');
    expect(page.text).toMatch(/value="SO-4101"[^>]* checked/);
    expect(words((await send('/plans')).text)).toContain('no order is chosen');
  });
  it('queues a plan of all open orders of a ticked product, without script', async () => {
    const answer = await send('/plans', [
      ['product', 'CP-95'],
      ['seconds', '1'],
    ]);
    expect(answer.status).toBe(303);
    const id = Number(/^\/plans\/(\d+)$/.exec(answer.headers.location!)![1]);
    const row = await db('plans').where({ id }).first();
    const codes = await db('order_lines').where({ product: 'CP-95', status: 'open' }).pluck('code');
    expect(row.problem.orders.map((order: { id: string }) => order.id).sort()).toEqual(codes.sort());
  });
  it('refuses a form without its token', async () => {
    const answer = await request(server.url)
      .post('/plans')
      .set('Cookie', cookie)
      .type('form')
      .send('order=SO-4101');
    expect(answer.status).toBe(403);
  });
});

describe('a plan from a file', () => {
  const upload = (text: string, name = 'problem.json') =>
    request(server.url)
      .post('/plans/file')
      .set('Cookie', cookie)
      .field('_token', token)
      .field('seconds', '1')
      .attach('file', Buffer.from(text), name);
  it('queues the uploaded problem', async () => {
    const answer = await upload(JSON.stringify(fixtureDocument()));
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toMatch(/^\/plans\/\d+$/);
  });
  it('shows every fault with its path, 422, and keeps pasted text', async () => {
    const bad = {
      ...fixtureDocument(),
      surprise: true,
      orders: [{ id: 'A', product: 'CP-10', widthMm: 0, lengthM: 300, rolls: 1.5 }],
    };
    const answer = await upload(JSON.stringify(bad));
    expect(answer.status).toBe(422);
    for (const part of ['surprise', 'orders[0].widthMm', 'orders[0].rolls'])
      expect(answer.text).toContain(part);
    const pasted = await request(server.url)
      .post('/plans/file')
      .set('Cookie', cookie)
      .field('_token', token)
      .field('text', '{"format": <b>');
    expect(pasted.status).toBe(422);
    expect(pasted.text).toContain('{&#34;format&#34;: &lt;b&gt;');
  });
});

describe('a plan that is not there', () => {
  it.each([
    '/plans/0',
    '/plans/abc',
    '/plans/99999999999',
    '/plans/2147483647',
    '/plans/2147483647/plan.json',
    '/plans/1e3',
  ])('%s answers 404 in words', async (path) => {
    const page = await open(path);
    expect(page.status).toBe(404);
    expect(words(page.text)).toMatch(/There is no plan/);
  });
  it('says of a failed one why, and never shows its runs', async () => {
    const page = await open(`/plans/${await stored('failed', { error: 'it breaks a limit <here>' })}`);
    expect(words(page.text)).toContain('There is no plan. it breaks a limit &lt;here&gt;');
    expect(page.text).not.toContain('<svg class="field"');
  });
  it('cannot be downloaded, compared or cancelled', async () => {
    const id = await stored('cancelled');
    expect((await open(`/plans/${id}/plan.json`)).status).toBe(409);
    expect((await open(`/plans/compare?plan=${id}&plan=${await finished()}`)).status).toBe(409);
    expect((await send(`/plans/${id}/cancel`)).status).toBe(409);
    expect((await open(`/plans/compare?plan=${id}`)).status).toBe(422);
  });
});

describe('the progress of a plan', () => {
  it('ends at once when the plan has ended', async () => {
    const stream = await open(`/plans/${await finished()}/progress`);
    expect(stream.headers['content-type']).toContain('text/event-stream');
    expect(stream.headers['cache-control']).toContain('no-transform');
    expect(stream.text).toMatch(/^event: ended\n/);
  });
  it('tells words and figures while the plan is made, the first plan in words, then that it has ended', async () => {
    const asked = await send('/plans', [
      ['product', 'CP-20'],
      ['seconds', '2'],
    ]);
    const stream = await open(`${asked.headers.location}/progress`);
    const events = stream.text.trim().split('\n\n');
    expect(events.length).toBeGreaterThan(2);
    expect(events.at(-1)).toMatch(/^event: ended/);
    const toldIn = (event: string) => JSON.parse(event.split('data: ')[1]!);
    const firsts = events.filter((event) => event.startsWith('event: first'));
    expect(firsts.length).toBeGreaterThan(0);
    for (const event of firsts)
      expect(toldIn(event).words).toMatch(/^A first plan is made and checked\. .* It costs .*\(proved\)/);
    for (const event of events.filter((one) => one.startsWith('event: progress'))) {
      const told = toldIn(event);
      expect(told.phase).toMatch(/^[A-Z][a-z ]+$/);
      if (told.bound !== null && told.best !== null) expect(told.bound).toBeLessThanOrEqual(told.best + 1e-6);
    }
    expect((await open(asked.headers.location!)).text).toContain('How each order comes out');
  });
  it('may be cut short: finishing a plan that has ended is refused in words, and so is one that is not there', async () => {
    const ended = await send(`/plans/${await finished()}/finish`, []);
    expect(ended.status).toBe(409);
    expect(ended.text).toContain('has ended already');
    expect((await send('/plans/2147483647/finish', [])).status).toBe(404);
  });
  it('of a plan that does not exist is a 404', async () => {
    expect((await open('/plans/2147483647/progress')).status).toBe(404);
  });
});

describe('a finished plan', () => {
  it('gives the answer first, in words, and rounds nothing in its own favour', async () => {
    const text = words((await open(`/plans/${await finished()}`)).text);
    expect(text).toContain(
      '2 of 3 orders are met in full; 176 of 182 rolls are made, from 1 roll with 3 set-ups . Short: SO-4103 by 2 rolls. It costs 912.40 EUR ; no plan can cost less than 905.90 (proved), so at most 0.8 % is left to gain.',
    );
  });
  it('says that a proved plan cannot be beaten', async () => {
    const id = await finished((plan) => {
      plan.status = 'best';
      plan.stopped = 'proved';
      plan.orders[2]!.short = 0;
    });
    expect(words((await open(`/plans/${id}`)).text)).toContain(
      'All 3 orders are met from 1 roll with 3 set-ups . It costs 912.40 EUR , and no plan can cost less (proved).',
    );
  });
  it('draws every roll it uses and every pattern, with a summary row that closes the areas', async () => {
    const page = await open(`/plans/${await finished()}`);
    expect(page.text.match(/<svg class="field"/g)).toHaveLength(1);
    expect(page.text.match(/<svg class="pattern"/g)).toHaveLength(3);
    expect(words(page.text)).toContain('film taken in 11,970.0 100.0');
    expect(page.text).not.toContain('fault of the program');
  });
  it('does not hide areas that do not add up', async () => {
    const id = await finished((plan) => {
      plan.yield.stubM2 -= 100;
    });
    expect(words((await open(`/plans/${id}`)).text)).toContain('The parts add up to 11,870.0 m²');
  });
  it('points at what deserves a look: short orders, bad places, waste that is wide enough to sell', async () => {
    const text = words((await open(`/plans/${await finished()}`)).text);
    expect(text).toContain('SO-4103 falls 2 rolls short: no roll is left that is wide enough.');
    expect(text).toContain(
      'The streak at 300 to 306 mm of R7030 (0 to 2,600 m) is slit out in a waste strip of 80 mm of run 1.',
    );
    expect(text).toContain('83 mm x 3,600 m goes to waste in run 3');
  });
  it('has no inline style or script, which the page may not use', async () => {
    const { text } = await open(`/plans/${await finished()}`);
    expect(text).not.toMatch(/\sstyle=|\son\w+=|<style|<script(?![^>]*src=)/);
  });
  it('escapes what came from a file', async () => {
    const text = JSON.stringify(fixtureDocument()).replaceAll('SO-4101', '<img src=x>');
    const plan = JSON.stringify(fixturePlan()).replaceAll('SO-4101', '<img src=x>');
    const page = await open(`/plans/${await stored('done', { problem: text, plan })}`);
    expect(page.status).toBe(200);
    expect(page.text).not.toContain('<img');
  });
  it('is downloaded as the two documents it is made of', async () => {
    const id = await finished();
    const plan = await open(`/plans/${id}/plan.json`);
    expect(plan.headers['content-disposition']).toBe(`attachment; filename=plan-${id}.json`);
    expect(plan.body).toEqual(fixturePlan());
    expect((await open(`/plans/${id}/problem.json`)).body).toEqual(fixtureDocument());
  });
  it('is compared with the plan it was run again from', async () => {
    const first = await finished();
    const second = await finished(() => {}, { parent_plan_id: first });
    const page = await open(`/plans/compare?plan=${second}&plan=${first}`);
    expect(words(page.text)).toContain(
      `Plan ${second} is plan ${first} run again from the same problem, and it gave the same plan, equal in every figure.`,
    );
    expect(page.text.match(/<svg class="field"/g)).toHaveLength(2);
    const other = await finished((plan) => {
      plan.cost.total = 900;
      plan.runs.pop();
    });
    const differs = words((await open(`/plans/compare?plan=${first}&plan=${other}`)).text);
    expect(differs).toContain('the plans differ');
    expect(differs).toContain('Cost of what is made 912.40 900.00 -12.40');
  });
  it('is in the list, newest first', async () => {
    const id = await finished();
    const text = words((await open('/plans/all')).text);
    expect(text.indexOf(`Plan ${id}`)).toBeGreaterThan(0);
    expect(text.indexOf(`Plan ${id}`)).toBeLessThan(text.indexOf(`Plan ${id - 1}`));
  });
});
