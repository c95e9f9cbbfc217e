// The walls around every page: who may ask, who may send forms, what the browser may load, how much may be sent.
import { createServer, request as httpRequest } from 'node:http';
import type { AddressInfo } from 'node:net';
import request from 'supertest';
import { beforeAll, describe, expect, it } from 'vitest';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
beforeAll(async () => {
  plant = await openPlant();
});
const get = (path: string) => request(plant.app).get(path).set('Host', 'localhost:3000');
const customers = async () => Number((await plant.db('customers').count({ n: '*' }))[0]?.n);

describe('host names', () => {
  it.each(['localhost:3000', '127.0.0.1:3000', '[::1]:3000', 'LOCALHOST'])('answers to %s', async (host) => {
    expect((await request(plant.app).get('/').set('Host', host)).status).toBe(200);
  });
  it.each(['plant.example:3000', '127.0.0.1.example.org', 'localhost.example', '10.0.0.5:3000'])(
    'does not answer to %s, so that no foreign name can be pointed at this machine',
    async (host) => {
      const page = await request(plant.app).get('/rolls').set('Host', host);
      expect(page.status).toBe(403);
      expect(page.text).toContain('does not answer to the name');
      expect(page.text).not.toContain('R7030');
    },
  );
});

describe('what the browser may do', () => {
  it('sends a content policy without inline script, inline style or foreign sources', async () => {
    const policy = (await get('/')).headers['content-security-policy'] as string;
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("style-src 'self'");
    expect(policy).toContain("form-action 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|upgrade-insecure|https?:|\*/);
  });
  it('writes no inline script, style or handler on any kind of page', async () => {
    const pages = [
      '/',
      '/rolls',
      '/rolls/R7030',
      '/new/rolls',
      '/import/rolls',
      '/buy',
      '/answer',
      '/find?q=R7030',
    ];
    for (const path of [...pages, '/rolls/R7030/delete', '/no-such-page']) {
      const { text } = await get(path);
      expect(text, path).not.toMatch(/<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)/i);
    }
  });
  it('keeps pages out of caches, and says nothing about its parts', async () => {
    const page = await get('/rolls');
    expect(page.headers['cache-control']).toBe('no-store');
    expect(page.headers['x-powered-by']).toBeUndefined();
    expect(page.headers['x-content-type-options']).toBe('nosniff');
  });
  it('serves the style sheet, and nothing outside the folder of assets', async () => {
    expect((await get('/assets/lanewright.css')).headers['content-type']).toContain('text/css');
    for (const path of ['/assets/../layout.ejs', '/assets/%2e%2e/layout.ejs', '/assets/..%2flayout.ejs'])
      expect((await get(path)).status, path).toBe(404);
  });
});

describe('forms', () => {
  const fields = { code: 'C900', name: 'Bellwether Labels (fictional)' };

  it('are saved with the token of a page that was opened', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/new/customers');
    const answer = await visitor.send('/new/customers', fields);
    expect(answer.status).toBe(303);
    expect(answer.headers.location).toBe('/customers/C900?did=added');
  });
  it('are refused without a token, with a wrong one, and with that of another visit', async () => {
    const before = await customers();
    const visitor = new Visitor(plant.app);
    const other = new Visitor(plant.app);
    await visitor.open('/new/customers');
    await other.open('/new/customers');
    const mine = visitor.token;
    for (const token of ['', 'x'.repeat(43), other.token]) {
      visitor.token = token;
      const answer = await visitor.send('/new/customers', { ...fields, code: 'C901' });
      expect(answer.status).toBe(403);
      expect(answer.text).toContain('nothing was saved');
    }
    visitor.cookie = '';
    visitor.token = mine;
    expect((await visitor.send('/new/customers', { ...fields, code: 'C901' })).status).toBe(403);
    expect(await customers()).toBe(before);
  });
  it.each([
    ['Origin', 'http://elsewhere.example'],
    ['Origin', 'null'],
    ['Origin', 'http://localhost:8080'],
    ['Sec-Fetch-Site', 'cross-site'],
    ['Sec-Fetch-Site', 'same-site'],
  ])('are refused with %s: %s even when the token is right', async (header, value) => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/new/customers');
    const answer = await visitor.send('/new/customers', { ...fields, code: 'C902' }).set(header, value);
    expect(answer.status).toBe(403);
    expect((await get('/customers/C902')).status).toBe(404);
  });
  it('are refused when they are not form fields', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/new/customers');
    const answer = await request(plant.app)
      .post('/new/customers')
      .set('Host', 'localhost')
      .set('Cookie', visitor.cookie)
      .send({ _token: visitor.token, ...fields });
    expect(answer.status).toBe(415);
  });
  it('have a token on every page with a form that changes something', async () => {
    for (const path of ['/new/orders', '/orders/SO-4101/edit', '/orders/SO-4101/delete', '/import/orders']) {
      const { text } = await get(path);
      const forms = text.match(/<form method="post"/g)?.length;
      expect(text.match(/name="_token" value="[\w-]{43}"/g)?.length, path).toBe(forms);
    }
  });
});

describe('too much', () => {
  it('answers a 200 MB upload with words, without keeping it in memory', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/import/rolls');
    const server = createServer(plant.app).listen(0, '127.0.0.1');
    await new Promise((resolve) => server.once('listening', resolve));
    const { port } = server.address() as AddressInfo;
    const before = process.memoryUsage().rss;
    let most = before;
    const answer = await postMegabytes(port, visitor, 200, true, () => {
      most = Math.max(most, process.memoryUsage().rss);
    });
    const chunked = await postMegabytes(port, visitor, 200, false, () => {
      most = Math.max(most, process.memoryUsage().rss);
    });
    server.close();
    for (const { status, text } of [answer, chunked]) {
      expect(status).toBe(413);
      expect(text).toContain('The file is larger than 16 MB');
      expect(text).toContain('Nothing was saved');
    }
    expect((most - before) / 1e6).toBeLessThan(120);
  });
  it('refuses a form with a field of megabytes', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/new/customers');
    const answer = await visitor.send('/new/customers', { code: 'C903', name: 'x'.repeat(3_000_000) });
    expect(answer.status).toBe(413);
    expect(answer.text).toContain('larger than a form can be');
  });
  it('refuses an upload that breaks off, or is not well-formed', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/import/rolls');
    for (const body of ['', '--b\r\nnonsense', '--b\r\nContent-Disposition: form-data; name="a"\r\n\r\nx']) {
      const answer = await request(plant.app)
        .post('/import/rolls')
        .set('Host', 'localhost')
        .set('Cookie', visitor.cookie)
        .set('Content-Type', 'multipart/form-data; boundary=b')
        .send(body);
      expect(answer.status).toBe(400);
      expect(answer.text).toContain('did not arrive completely');
    }
  });
  it('tells who asks too often to wait', async () => {
    const busy = await openPlant({ empty: true, requestsPerMinute: 3 });
    const ask = () => request(busy.app).get('/suppliers').set('Host', 'localhost');
    expect([(await ask()).status, (await ask()).status, (await ask()).status]).toEqual([200, 200, 200]);
    const fourth = await ask();
    expect(fourth.status).toBe(429);
    expect(fourth.text).toContain('Wait a minute');
  });
});

describe('what goes wrong', () => {
  it('says in words that a page or a row is not there', async () => {
    const page = await get('/no/such/page');
    expect([page.status, page.text.includes('There is no page at /no/such/page')]).toEqual([404, true]);
    const row = await get('/rolls/R0');
    expect([row.status, row.text.includes('There is no roll R0')]).toEqual([404, true]);
  });
  it('takes an address that is not written correctly', async () => {
    expect((await get('/rolls/%E0%A4%A')).status).toBe(400);
  });
  it('answers a bug with 500, a number to report, and nothing of its inside', async () => {
    const broken = await openPlant({ empty: true });
    await broken.db.schema.dropTable('roll_defects');
    const page = await request(broken.app).get('/rolls').set('Host', 'localhost');
    expect(page.status).toBe(500);
    expect(page.text).toMatch(/logged as [0-9a-f]{8}/);
    expect(page.text).not.toMatch(/roll_defects|select|at .*\.ts/);
  });
  it('shows what was entered as text, never as markup', async () => {
    const visitor = new Visitor(plant.app);
    await visitor.open('/new/customers');
    const name = '<script>alert(1)</script> & "quotes" \'single\'';
    expect((await visitor.send('/new/customers', { code: 'C904', name })).status).toBe(303);
    const pages = [
      '/customers/C904',
      '/customers',
      '/customers/C904/edit',
      '/find?q=alert',
      '/customers?q=%3Cscript%3E',
    ];
    for (const path of [...pages, '/find?q=%3Cscript%3Ex', '/rolls?%3Cscript%3E=1']) {
      const { text } = await get(path);
      expect(text, path).not.toMatch(/<script>/);
      expect(text, path).toContain('&lt;script&gt;');
    }
  });
});

/** Sends a multipart body of that many megabytes as fast as it is taken. */
function postMegabytes(
  port: number,
  visitor: Visitor,
  megabytes: number,
  withLength: boolean,
  seen: () => void,
) {
  const head = Buffer.from(
    `--b\r\nContent-Disposition: form-data; name="_token"\r\n\r\n${visitor.token}\r\n` +
      '--b\r\nContent-Disposition: form-data; name="file"; filename="rolls.csv"\r\n\r\n',
  );
  const megabyte = Buffer.alloc(1_000_000, 'R1,coated,');
  return new Promise<{ status: number; text: string }>((resolve, reject) => {
    const post = httpRequest(
      {
        port,
        host: '127.0.0.1',
        method: 'POST',
        path: '/import/rolls',
        headers: {
          Cookie: visitor.cookie,
          'Content-Type': 'multipart/form-data; boundary=b',
          ...(withLength ? { 'Content-Length': head.length + megabytes * megabyte.length } : {}),
        },
      },
      (res) => {
        let text = '';
        res.on('data', (chunk) => {
          text += chunk;
        });
        res.on('end', () => resolve({ status: res.statusCode ?? 0, text }));
      },
    );
    post.on('error', reject);
    post.write(head);
    let sent = 0;
    const more = (): void => {
      while (sent < megabytes) {
        sent += 1;
        seen();
        if (!post.write(megabyte)) return void post.once('drain', more);
      }
      post.end();
    };
    more();
  });
}
