// The first page and the doors: what needs doing now from the stock and the orders, each line with its way there;
// film against offers; what can be answered to a customer.
import { beforeAll, describe, expect, it } from 'vitest';
import { forgetRolls, pastTheLedger } from '../support/stock.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
});
const plain = (html: string): string =>
  html.replaceAll('&#34;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&').replace(/\s+/g, ' ');
const home = async () => plain((await visitor.open('/')).text);
/** The part of the first page under one door. */
const door = async (name: string) =>
  (await home()).split('<section>').find((part) => part.includes(`>${name}</a></h2>`)) ?? '';

describe('what needs doing now', () => {
  it('names the three doors before everything else', async () => {
    const text = await home();
    const order = ['Plan the slitting', 'Buy the film', 'Answer a customer', 'Rolls', 'Orders', 'Products'];
    const places = order.map((name) => text.indexOf(`>${name}</a>`));
    expect(places.every((place, i) => place > (places[i - 1] ?? 0))).toBe(true);
  });
  it('counts the orders that are due within seven days and not planned', async () => {
    const due = await plant
      .db('order_lines')
      .where('status', 'open')
      .whereBetween('due_on', ['2027-03-01', '2027-03-08']);
    expect(due.length).toBeGreaterThan(5);
    expect(await door('Plan the slitting')).toContain(
      `${due.length} orders are due within 7 days and not planned.`,
    );
  });
  it('says how much to coat of a product that has more on order than is coated', async () => {
    const sum = (of: { widthUm: number; lengthMm: number; n: number }[]) =>
      of.reduce((m2, row) => m2 + (row.widthUm * row.lengthMm * row.n) / 1e9, 0);
    const columns = { widthUm: 'width_um', lengthMm: 'length_mm' };
    const orders = await plant
      .db('order_lines')
      .where({ product: 'CP-10', status: 'open' })
      .select({ ...columns, n: 'rolls' });
    const rolls = await plant.db('rolls').where({ item: 'CP-10', status: 'released' }).select(columns);
    const more = Math.ceil(sum(orders) - sum(rolls.map((roll) => ({ ...roll, n: 1 }))));
    expect(more).toBeGreaterThan(1000);
    expect(await door('Plan the slitting')).toContain(`>CP-10</a> ${more.toLocaleString('en-GB')} m² more`);
  });
  it('tells the purchaser of the film that is short, and the seller not to promise it', async () => {
    expect(await door('Buy the film')).toContain(
      'Film for CP-80 heat-seal lidding film 23 is short by at least 180 m²',
    );
    expect(await door('Answer a customer')).toContain(
      'CP-80 heat-seal lidding film 23: do not promise more from stock.',
    );
  });
  it('names the rolls that wait for a decision, and the stubs with what fits on them', async () => {
    expect(await door('Buy the film')).toMatch(/2 rolls are in quarantine.*R7023/);
    expect(await door('Buy the film')).toMatch(/2 rolls are on hold.*R7018/);
    expect(await door('Plan the slitting')).toMatch(
      /4 stubs lie in the rack.*>R7039<\/a> CP-70 190 mm x 4,000 m: fits \d+ open/,
    );
  });
  it('puts a late order first, in the plan and in the news for its customer', async () => {
    await plant.db('order_lines').where({ code: 'SO-4101' }).update({ due_on: '2027-02-27' });
    expect(await door('Plan the slitting')).toMatch(
      /<li class="stop"><b>1 order is late and not planned\.<\/b>.*2 days ago/,
    );
    expect(await door('Answer a customer')).toMatch(/waits for 1 late order\..*href="\/orders\/SO-4101"/);
    await plant.db('order_lines').where({ code: 'SO-4101' }).update({ status: 'done' });
    expect(await home()).not.toContain('late');
  });
  it('keeps rolls past their use-by day out of the stock, and names them', async () => {
    const before = /product=CP-95">.*?<\/tr>/.exec(plain((await visitor.open('/answer')).text))?.[0];
    await plant.db('rolls').where({ code: 'R7036' }).update({ use_by: '2027-02-28' });
    expect(await door('Plan the slitting')).toMatch(/1 roll is past the use-by day.*R7036 yesterday/);
    const after = /product=CP-95">.*?<\/tr>/.exec(plain((await visitor.open('/answer')).text))?.[0];
    expect(after).not.toBe(before);
    await plant.db('rolls').where({ code: 'R7036' }).update({ use_by: '2027-03-20' });
    expect(await door('Plan the slitting')).toMatch(
      /1 roll is near the use-by day \(30 days\).*R7036 in 19 days/,
    );
  });
  it('counts all rolls that wait, however many are named', async () => {
    await pastTheLedger(plant.db, (trx) =>
      trx.raw(`
      insert into rolls (code, kind, item, width_um, length_mm, status)
      select 'W' || n, 'coated', 'CP-10', 600000, 1000000, 'on hold' from generate_series(1, 1200) n`),
    );
    expect(await door('Plan the slitting')).toMatch(/1,200 rolls are on hold: .*and 1,194 more/);
    await forgetRolls(plant.db, 'W');
  });
  it('has only links that lead somewhere', async () => {
    const links = [...new Set([...(await home()).matchAll(/href="(\/[^"#]*)/g)].map((m) => m[1] as string))];
    expect(links.length).toBeGreaterThan(30);
    for (const link of links) expect((await visitor.open(link)).status, link).toBeLessThan(304);
  });
  it('tells a plant without data what to bring in first', async () => {
    const empty = await openPlant({ empty: true });
    const { text } = await new Visitor(empty.app).open('/');
    expect(text).toContain('There are no rolls and no orders yet');
    expect(text).toContain('/import/rolls');
  });
});

describe('buy the film', () => {
  it('compares offers by price per m²: price per kg x thickness x density', async () => {
    const { text } = await visitor.open('/buy');
    // trade formula C10: 12 um PET at 3.10 per kg is 0.051894 per m²
    const row =
      plain(text)
        .split('<tr>')
        .find((r) => r.includes('>BF-06<') && r.includes('S2')) ?? '';
    expect(row).toContain('<b>0.0519</b>');
    expect(row).toContain('3.10');
    expect(row).toContain('2027-05-03');
  });
});
