// Lists: searched, filtered, sorted and paged in the database, the state in the address, unknown names refused;
// 10,000 rows stay quick. Search and the three doors find what the demo plant holds.
import { beforeAll, describe, expect, it } from 'vitest';
import { pastTheLedger } from '../support/stock.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
});

const codes = (html: string, table: string): string[] =>
  [...html.matchAll(new RegExp(`<th scope=row[^>]*><a href="/${table}/([^"]+)"`, 'g'))].map(
    (m) => m[1] as string,
  );
const plain = (html: string): string =>
  html.replaceAll('&#34;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&');

describe('a list', () => {
  it('filters by choice, reference and width, and keeps what was asked in its form', async () => {
    const { text } = await visitor.open('/rolls?kind=stub&item=CP-70');
    expect(codes(text, 'rolls')).toEqual(['R7039']);
    expect(text).toContain('<option selected>stub</option>');
    expect(text).toMatch(/name="item" value="CP-70"/);
    const narrow = await visitor.open('/rolls?widthUm=820');
    expect(codes(narrow.text, 'rolls').length).toBe(
      Number((await plant.db('rolls').where({ width_um: 820_000 }).count({ n: '*' }))[0]?.n),
    );
  });
  it('filters by a range of widths or days, both ends included, open at either end', async () => {
    const found = async (path: string) => codes((await visitor.open(path)).text, 'orders').sort();
    const expected = async (from: number, to: number) =>
      (await plant.db('order_lines').whereBetween('width_um', [from, to]).pluck('code')).sort();
    expect(await found('/orders?widthUm=83..110')).toEqual(await expected(83_000, 110_000));
    expect(await found('/orders?widthUm=..60')).toEqual(await expected(0, 60_000));
    expect(await found('/orders?dueOn=2027-03-01..2027-03-08')).toEqual(
      (await plant.db('order_lines').where('due_on', '<=', '2027-03-08').pluck('code')).sort(),
    );
  });

  it.each([
    ['the wrong way round', '/orders?widthUm=110..83', 'nothing lies between 110 and 83'],
    ['of something that is no width', '/orders?widthUm=83..wide', '"wide" is not a number'],
  ])('refuses a range %s', async (_what, path, words) => {
    const answer = await visitor.open(path);
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain(words);
  });

  it('sorts by the name of a customer where it shows the name', async () => {
    const { text } = await visitor.open('/orders?sort=customer');
    const names = [...text.matchAll(/href="\/customers\/[^"]+">([^<]+)</g)].map((m) => m[1] as string);
    expect(names.length).toBeGreaterThan(10);
    expect(names).toEqual([...names].sort((a, b) => (a < b ? -1 : a > b ? 1 : 0)));
  });

  it('sorts both ways, and says which way to those who cannot see it', async () => {
    const up = await visitor.open('/rolls?sort=lengthMm');
    const down = await visitor.open('/rolls?sort=lengthMm&down=yes');
    const lengths = await plant.db('rolls').orderBy('length_mm').pluck('length_mm');
    const first = await plant
      .db('rolls')
      .whereIn('code', [codes(up.text, 'rolls')[0] as string])
      .first();
    const last = await plant
      .db('rolls')
      .whereIn('code', [codes(down.text, 'rolls')[0] as string])
      .first();
    expect([first.length_mm, last.length_mm]).toEqual([lengths[0], lengths.at(-1)]);
    expect(up.text).toContain('aria-sort="ascending"');
    expect(down.text).toContain('aria-sort="descending"');
  });
  it('pages without losing or doubling a row, and the links keep the filter', async () => {
    const one = await visitor.open('/orders?size=25&sort=product');
    expect(one.text).toContain('1 to 25 of 45');
    const next = plain(/<a href="([^"]*page=2[^"]*)">2</.exec(one.text)?.[1] ?? '');
    expect(next).toContain('sort=product');
    const two = await visitor.open(next);
    const all = [...codes(one.text, 'orders'), ...codes(two.text, 'orders')];
    expect([all.length, new Set(all).size]).toEqual([45, 45]);
  });
  it('says that nothing fits, and leads back from a page beyond the end', async () => {
    expect((await visitor.open('/rolls?q=nowhere')).text).toContain('No rolls fit this search.');
    const beyond = await visitor.open('/rolls?page=99');
    expect(beyond.text).toContain('Go to the last page');
  });
  it('takes signs of the search as text, not as a pattern', async () => {
    expect(codes((await visitor.open('/rolls?q=%25')).text, 'rolls')).toEqual([]);
    expect(codes((await visitor.open('/rolls?q=R7_30')).text, 'rolls')).toEqual([]);
  });
  it.each([
    ['/rolls?colour=red', 'a list of rolls has no "colour"'],
    ['/rolls?sort=colour', 'there is no column "colour" to sort by'],
    ['/rolls?page=0', '"0" is not a page'],
    ['/rolls?page=1.5', '"1.5" is not a page'],
    ['/rolls?size=7', '"7" is not a size'],
    ['/rolls?kind=paper', '"paper" is not one of the choices'],
    ['/rolls?widthUm=wide', '"wide" is not a number'],
    ['/rolls?useBy=soon', '"soon" is not a calendar day'],
    ['/rolls?kind=stub&kind=base', '"kind" is given more than once'],
    ['/export/rolls.csv?colour=red', 'a list of rolls has no "colour"'],
    ['/answer?colour=red', 'there is no "colour" to ask for'],
  ])('%s is refused by name', async (path, words) => {
    const page = await visitor.open(path);
    expect(page.status).toBe(422);
    expect(plain(page.text)).toContain(words);
    expect(page.text).toContain('Right would be: ');
  });
  it('marks what must not be used and what is to be decided, in words', async () => {
    const { text } = await visitor.open('/rolls');
    expect(text).toContain('<span class="tag stop">on hold</span>');
    expect(text).toContain('<span class="tag look">in quarantine</span>');
    expect(text).toMatch(/<svg class="thumb"[^>]*aria-label="[^"]*streak/);
  });
  it('exports the rows it shows, which import again without a change', async () => {
    const file = await visitor.open('/export/rolls.csv?kind=stub');
    expect(file.headers['content-disposition']).toBe('attachment; filename=rolls-2027-03-01.csv');
    expect(file.text.trim().split('\r\n').length).toBe(1 + 4);
    const all = await visitor.open('/export/rolls.csv');
    await visitor.open('/import/rolls');
    const preview = await visitor.upload('/import/rolls', { file: Buffer.from(all.text), name: 'rolls.csv' });
    expect(preview.status).toBe(200);
    expect(preview.text).toContain('There is nothing to import.');
  });
});

describe('with 10,000 rolls', () => {
  beforeAll(async () => {
    await pastTheLedger(plant.db, (trx) =>
      trx.raw(`
      insert into rolls (code, kind, item, width_um, length_mm, location, received_on, status)
      select 'Z' || n, 'coated', 'CP-10', 600000 + (n % 400) * 1000, 1000000 + n * 1000, 'H' || n % 50,
        date '2026-01-01' + n % 400, case when n % 10 = 0 then 'on hold' else 'released' end
      from generate_series(1, 10000) n`),
    );
    await visitor.open('/rolls');
  });
  it.each([
    ['the first page', '/rolls'],
    ['a page in the middle', '/rolls?page=100'],
    ['the longest first', '/rolls?sort=lengthMm&down=yes'],
    ['a filter', '/rolls?status=on+hold&widthUm=750'],
    ['a search', '/rolls?q=Z99'],
  ])('%s comes within two seconds, at best of three tries on a busy machine', async (_what, path) => {
    const times: number[] = [];
    for (let i = 0; i < 3; i += 1) {
      const start = performance.now();
      const page = await visitor.open(path);
      times.push(performance.now() - start);
      expect(page.status).toBe(200);
      expect(codes(page.text, 'rolls').length).toBeGreaterThan(0);
      expect(codes(page.text, 'rolls').length).toBeLessThanOrEqual(50);
    }
    expect(Math.min(...times)).toBeLessThan(2000);
  });
  it('counts them all and shows no more than a page', async () => {
    const { text } = await visitor.open('/rolls?sort=lengthMm&down=yes&size=25');
    expect(text).toMatch(/1 to 25 of 10,0\d\d/);
    expect(codes(text, 'rolls').length).toBe(25);
  });
});

describe('finding', () => {
  it('goes straight to the page of a code', async () => {
    expect((await visitor.open('/find?q=r7030')).headers.location).toBe('/rolls/R7030');
    expect((await visitor.open('/find?q=SO-4101')).headers.location).toBe('/orders/SO-4101');
  });
  it('lists what holds a word, and says when nothing does', async () => {
    expect((await visitor.open('/find?q=lidding')).text).toContain('/products/CP-70');
    expect((await visitor.open('/find?q=zebra')).text).toContain('Nothing holds');
  });
});
