// The purchaser's pages: needs of film, what to buy, purchase orders and what is late.
import { beforeAll, describe, expect, it } from 'vitest';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  await visitor.open('/new/forecasts');
});
const plain = (html: string): string =>
  html.replaceAll('&#34;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&').replace(/\s+/g, ' ');
const open = async (path: string) => plain((await visitor.open(path)).text);

const csvRows = async (weeks = 26) => {
  const { text } = await visitor.open(`/buy/needs.csv?weeks=${weeks}`);
  const [head, ...lines] = text.replace('\ufeff', '').trim().split('\r\n');
  const names = (head as string).split(',');
  return lines.map((line) => Object.fromEntries(line.split(',').map((cell, i) => [names[i], cell])));
};

describe('what film is needed', () => {
  it('names the grade that runs short first, with the day, and draws each grade over time', async () => {
    const text = await open('/buy/needs');
    expect(text).toMatch(/class="answer">BF-\d+ runs short first, on 20\d\d-\d\d-\d\d/);
    expect(text).toContain('<svg class="curve balance" role="img"');
    expect(text).toContain('area and usual yield');
  });
  it('gives the same weeks as CSV, and no more than were asked for', async () => {
    const rows = await csvRows(6);
    expect(new Set(rows.map((row) => row['Week of Monday'])).size).toBe(6);
    expect(rows).toHaveLength(6 * 12);
    expect(rows[0]?.['Week of Monday']).toBe('2027-03-01');
  });
  it('says what is wrong with a number of weeks', async () => {
    const page = await visitor.open('/buy/needs?weeks=many');
    expect(page.status).toBe(422);
    expect(plain(page.text)).toContain('"many" is not a number of weeks: 1 to 104 would be right');
  });
  it('asks for more when a forecast goes beyond the orders of its week, by area and usual yield', async () => {
    const sumOf = async () =>
      (await csvRows())
        .filter((row) => row.Grade === 'BF-06')
        .reduce((sum, row) => sum + Number(row['Forecasts beyond orders (m2)']), 0);
    const product = (await plant.db('product_grades').where({ code: 'BF-06', position: 0 }).first())?.product;
    const before = await sumOf();
    const typed = {
      code: 'FC-1',
      product,
      weekOn: '2027-07-05',
      areaM2: '850',
      rolls: '',
      widthUm: '',
      lengthMm: '',
    };
    expect((await visitor.send('/new/forecasts', typed)).status).toBe(303);
    expect((await sumOf()) - before).toBeCloseTo(850 / 0.85, 2);
  });
  it('refuses a forecast for a day that is no Monday, and one that says nothing', async () => {
    const typed = { code: 'FC-2', product: 'CP-10', weekOn: '2027-07-06', areaM2: '10' };
    const answer = await visitor.send('/new/forecasts', typed);
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain('2027-07-06 is not a Monday');
    const empty = await visitor.send('/new/forecasts', { ...typed, weekOn: '2027-07-05', areaM2: '' });
    expect(empty.status).toBe(422);
    expect(plain(empty.text)).toContain('the forecast does not say how much');
    expect(await plant.db('forecasts').where({ code: 'FC-2' }).first()).toBeUndefined();
  });
  it('takes film on the way off what is to be bought, and keeps the safety stock', async () => {
    const buyOf = async (grade: string) =>
      (await csvRows())
        .filter((row) => row.Grade === grade)
        .reduce((sum, row) => sum + Number(row['To buy (m2)']), 0);
    const grade = (await csvRows()).find((row) => Number(row['To buy (m2)']) > 0)?.Grade as string;
    const before = await buyOf(grade);
    await plant.db('grades').where({ code: grade }).update({ safety_stock_kg: 500 });
    const { thickness_um: um, density_g_per_cm3: density } = await plant
      .db('grades')
      .where({ code: grade })
      .first();
    const safetyM2 = (500 * 1000) / (um * density);
    const kept = await buyOf(grade);
    expect(kept).toBeCloseTo(before + safetyM2, 0);
    const offer = await plant.db('offers').where({ grade }).first();
    const made = await visitor.send('/new/purchase-orders', {
      supplier: offer.supplier,
      status: 'sent',
      orderedOn: '2027-03-01',
      requestKey: 'needs-test-0001',
      'lines-grade-0': grade,
      'lines-widthUm-0': '1000',
      'lines-lengthMm-0': '100',
      code: '',
      'lines-pricePerKg-0': '',
      'lines-rolls-0': '3',
      'lines-wantedOn-0': '2027-03-01',
    });
    expect(made.status).toBe(303);
    expect(kept).toBeGreaterThan(300);
    expect(await buyOf(grade)).toBeCloseTo(kept - 300, 0);
  });
});

describe('what to buy', () => {
  const section = (text: string, grade: string): string =>
    text.split('<section ').find((part) => part.startsWith(`id="${grade}"`)) ?? '';
  const needy = async (): Promise<string> =>
    /<section id="([^"]+)"/.exec((await visitor.open('/buy/proposal')).text)?.[1] ?? '';

  it('proposes whole rolls with the day to order by, what they cost, and the figures with their formulae', async () => {
    const text = await open('/buy/proposal');
    expect(text).toMatch(
      /class="answer">\d+ purchase lines? in \d+ orders? for [\d,.]+ EUR; the first to be ordered is BF-/,
    );
    expect(text).toContain('No other choice of these offers costs less (proved).');
    expect(text).toContain('square root of (2 x yearly use x cost of an order');
    expect(text).toMatch(/Why [\d,]+ mm of BF-\d+: \d+ sets? across the web, [\d.]+ % trim/);
    expect(text).toMatch(/>\d+ x \d+( \+ \d+ x \d+)* mm</);
    expect(text).toMatch(/m² \([\d,]+ kg\) more than these weeks need: the least order of \S+ is [\d,]+ kg/);
  });
  it('names the next best choice and what it costs more, once there is another offer', async () => {
    const grade = await needy();
    const [offer] = await plant.db('offers').where({ grade });
    await plant
      .db('offers')
      .insert({ ...offer, code: 'DEARER', price_per_kg: Number(offer.price_per_kg) * 1.5 });
    const text = section(await open('/buy/proposal'), grade);
    expect(text).toMatch(/Next best, without offer [^:]+: [\d,.]+ EUR more in all/);
  });
  it('never proposes an offer that has lapsed, and says so', async () => {
    const grade = await needy();
    await plant
      .db('offers')
      .where({ grade })
      .whereNot({ code: 'DEARER' })
      .update({ valid_until: '2027-02-28' });
    const text = section(await open('/buy/proposal'), grade);
    expect(text).toMatch(/Not proposed: .*lapsed: it was valid until 2027-02-28/);
    expect(text.split('Not proposed')[0]).toContain('DEARER');
    await plant.db('offers').where({ code: 'DEARER' }).update({ valid_until: '2027-02-28' });
    expect(section(await open('/buy/proposal'), grade)).toContain('Nobody offers it at the moment');
    await plant.db('offers').where({ grade }).update({ valid_until: null });
  });
  it('turns the lines of a supplier into a draft purchase order, once however often it is sent', async () => {
    const page = await visitor.open('/buy/proposal');
    const form =
      /<form method="post" action="\/new\/purchase-orders">(.*?)<\/form>/s.exec(page.text)?.[1] ?? '';
    const fields = Object.fromEntries(
      [...form.matchAll(/name="([^"]+)" value="([^"]*)"/g)].map((m) => [
        m[1] as string,
        plain(m[2] as string),
      ]),
    );
    const made = await visitor.send('/new/purchase-orders', fields);
    expect(made.status).toBe(303);
    const again = await visitor.send('/new/purchase-orders', fields);
    expect(again.headers.location).toBe(made.headers.location);
    const order = await open(String(made.headers.location));
    expect(order).toContain('<span class="soft">draft</span>');
    expect(order).toContain(`>${fields['lines-grade-0']}</a>`);
    expect(order).toContain(fields['lines-wantedOn-0']);
  });
  it('says what is wrong with a cost, and refuses an offer whose lower price is none', async () => {
    const page = await visitor.open('/buy/proposal?orderCost=dear');
    expect(page.status).toBe(422);
    expect(plain(page.text)).toContain('"dear" is not a cost in EUR per order');
    const { code } = await plant.db('offers').orderBy('code').first();
    const form = await visitor.open(`/offers/${code}/edit`);
    const typed = Object.fromEntries(
      [...form.text.matchAll(/<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"/g)].map((m) => [
        m[1] as string,
        m[2] as string,
      ]),
    );
    const lower = { ...typed, breakFromKg: '500', breakPricePerKg: String(Number(typed.pricePerKg) + 1) };
    const answer = await visitor.send(`/offers/${code}/edit`, lower);
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain('the lower price is not lower');
  });
});

describe('purchase orders', () => {
  it('are sent, printed, confirmed and closed by buttons; what is late names customers and the way to plan again', async () => {
    const { purchase_order: code } = await plant
      .db('purchase_order_lines as l')
      .join('purchase_orders as o', 'o.code', 'l.purchase_order')
      .where('o.status', 'draft')
      .first();
    const path = `/purchase-orders/${code}`;
    expect(await open(path)).toContain('Mark it sent');
    expect((await visitor.send(`${path}/send`, {})).headers.location).toBe(`${path}?did=send`);
    expect(await open(`${path}/print`)).toMatch(
      /In all<\/th><td class="n"><b>[\d,.]+<\/b><\/td><td><\/td><td class="n"><b>[\d,]+\.\d\d<\/b>/,
    );
    const { text } = await visitor.open(`${path}/order.csv`);
    expect(text).toContain(`\r\n${code},1,`);
    expect(await open(`${path}/confirm`)).toContain('Save what is confirmed');
    const bad = await visitor.send(`${path}/confirm`, { 'confirmedOn-1': 'soon', 'confirmedRolls-1': '1' });
    expect(bad.status).toBe(422);
    expect(bad.text).toMatch(/id="confirmedOn-1"[^>]*value="soon"[^>]*aria-invalid="true"/);
    const fields = { 'confirmedOn-1': '2028-12-01', 'confirmedRolls-1': '1' };
    expect((await visitor.send(`${path}/confirm`, fields)).headers.location).toBe(`${path}?did=confirm`);
    const page = await open(path);
    expect(page).toContain('is confirmed for 2028-12-01');
    expect(page).toContain('>Plan again all orders that take this film<');
    expect(await open('/')).toMatch(
      new RegExp(`<li class="stop"><b>${code}: Line 1, [^<]*is confirmed for 2028-12-01`),
    );
    expect(page).toContain('<span class="tag look">1 roll</span>');
    expect((await visitor.send(`${path}/close`, {})).status).toBe(303);
    expect((await visitor.send(`${path}/send`, {})).status).toBe(409);
  });
});

describe('bad input of the purchaser', () => {
  const count = async (table: string) => Number((await plant.db(table).count({ n: '*' }))[0]?.n);
  const offerForm = {
    ...{
      code: 'BAD',
      supplier: 'S1',
      grade: 'BF-01',
      widthUm: '1050',
      widthMinUm: '',
      widthMaxUm: '',
      widthStepUm: '',
    },
    ...{ rollLengthMm: '24000', pricePerKg: '9.8', currency: 'EUR', minOrderKg: '0', leadTimeDays: '70' },
  };
  const line = {
    'lines-grade-0': 'BF-01',
    'lines-offer-0': 'S1-BF-01-1050',
    'lines-widthUm-0': '1050',
    'lines-lengthMm-0': '24000',
    'lines-rolls-0': '2',
    'lines-wantedOn-0': '2027-06-01',
  };
  const orderForm = {
    supplier: 'S1',
    status: 'draft',
    currency: 'EUR',
    requestKey: 'bad-input-0001',
    ...line,
  };

  it.each([
    ['a currency without a rate', { currency: 'JPY' }, 'there is no exchange rate for JPY', 'EUR, USD'],
    ['no currency at all', { currency: 'euros' }, '"euros" is not a currency', 'three capital letters'],
    [
      'a width that no slitter takes',
      { widthUm: '5000' },
      '5000 mm is wider than the web of any slitter',
      'up to',
    ],
    ['a width in another unit', { widthUm: '41 in' }, '', 'mm'],
    ['a price with two numbers', { pricePerKg: '3 or 4' }, '', 'number'],
    ['an unknown grade', { grade: 'BF-99' }, 'there is no base-film grade BF-99', 'a code from the list'],
    ['a day that does not exist', { validUntil: '2027-02-30' }, '', 'yyyy-mm-dd'],
  ])('an offer with %s is not saved, and told what would be right', async (_what, wrong, words, right) => {
    const before = await count('offers');
    const answer = await visitor.send('/new/offers', { ...offerForm, ...wrong });
    expect(answer.status).toBe(422);
    const text = plain(answer.text);
    expect(text).toContain(words);
    expect(text).toContain(right);
    expect(text).toContain(`value="${Object.values(wrong)[0]}"`);
    expect(await count('offers')).toBe(before);
  });
  it.each([
    ['an offer that has lapsed', {}, 'offer S1-BF-01-1050 lapsed on 2027-02-28'],
    ["another grade's offer", { 'lines-grade-0': 'BF-02' }, "offer S1-BF-01-1050 is S1's for BF-01"],
    [
      'an unknown grade',
      { 'lines-grade-0': 'BF-99', 'lines-offer-0': '' },
      'there is no base-film grade BF-99',
    ],
    [
      'a day that has passed',
      { 'lines-offer-0': '', 'lines-wantedOn-0': '2027-02-01' },
      '2027-02-01 lies before the order, 2027-03-01',
    ],
    [
      'an impossible width',
      { 'lines-offer-0': '', 'lines-widthUm-0': '4000' },
      '4000 mm is wider than the web of any slitter',
    ],
    [
      'a currency without a rate',
      { currency: 'GBP', 'lines-offer-0': '' },
      'there is no exchange rate for GBP',
    ],
  ])('a purchase order with %s is not saved', async (_what, wrong, words) => {
    await plant.db('offers').where({ code: 'S1-BF-01-1050' }).update({ valid_until: '2027-02-28' });
    const before = await count('purchase_orders');
    const answer = await visitor.send('/new/purchase-orders', { ...orderForm, ...wrong });
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain(words);
    expect(await count('purchase_orders')).toBe(before);
    await plant.db('offers').where({ code: 'S1-BF-01-1050' }).update({ valid_until: null });
  });
  it.each([
    ['another width than its offer', { 'lines-widthUm-0': '1000' }, 'offer S1-BF-01-1050 is not for 1000 mm'],
    [
      'another length than its offer',
      { 'lines-lengthMm-0': '12000' },
      'offer S1-BF-01-1050 is not for rolls of 12000 m',
    ],
    [
      'another currency than its offer',
      { currency: 'USD' },
      'offer S1-BF-01-1050 is in EUR, the order in USD',
    ],
  ])('a purchase order with %s is not saved', async (_what, wrong, words) => {
    const before = await count('purchase_orders');
    const answer = await visitor.send('/new/purchase-orders', { ...orderForm, ...wrong });
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain(words);
    expect(await count('purchase_orders')).toBe(before);
  });
  it('a container with a cost and nothing in it is not saved, nor a rate of the own currency', async () => {
    const typed = { code: 'S1', name: 'Ostervane', currency: 'EUR', containerCost: '900' };
    const supplier = await visitor.send('/suppliers/S1/edit', typed);
    expect(supplier.status).toBe(422);
    expect(plain(supplier.text)).toContain('a container has a cost and nothing says what it holds');
    const rate = { code: 'E', currency: 'EUR', fromOn: '2027-01-01', rate: '1' };
    const answer = await visitor.send('/new/rates', rate);
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain("EUR is the plant's own currency");
  });
});

describe('currencies, containers and the record in what to buy', () => {
  it('compares prices by the rate of the day, and names an offer for whose currency none holds', async () => {
    const [, grade] = /<section id="([^"]+)"/.exec((await visitor.open('/buy/proposal')).text) ?? [];
    const [offer] = await plant.db('offers').where({ grade });
    const dollars = { ...offer, code: 'IN-USD', currency: 'USD', price_per_kg: Number(offer.price_per_kg) };
    await plant.db('offers').insert(dollars);
    const text = await open('/buy/proposal');
    expect(text).toContain('1 USD = 0.9 EUR (from');
    const price = Number(offer.price_per_kg);
    expect(text).toContain(
      `${(0.9 * price).toFixed(2)}<br><span class="soft">${price.toFixed(2)} USD</span>`,
    );
    expect(await open('/buy')).toContain(`>${price.toFixed(2)} USD</td>`);
    await plant.db('rates').update({ from_on: '2027-06-01' });
    expect(await open('/buy/proposal')).toMatch(/IN-USD<\/a> \([^<]*no exchange rate for USD holds today/);
    expect(await open('/buy')).toContain('no rate for USD');
    await plant.db('rates').update({ from_on: '2027-01-01' });
  });
  it('takes an order in dollars at the price of its offer', async () => {
    const page = await visitor.open('/buy/proposal');
    const forms = [
      ...page.text.matchAll(/<form method="post" action="\/new\/purchase-orders">(.*?)<\/form>/gs),
    ];
    const form = forms.map((m) => m[1] as string).find((text) => text.includes('value="IN-USD"')) ?? '';
    const fields = Object.fromEntries(
      [...form.matchAll(/name="([^"]+)" value="([^"]*)"/g)].map((m) => [
        m[1] as string,
        plain(m[2] as string),
      ]),
    );
    expect(fields.currency).toBe('USD');
    const made = await visitor.send('/new/purchase-orders', fields);
    expect(made.status).toBe(303);
    const path = String(made.headers.location).split('?')[0];
    expect(await open(`${path}/print`)).toContain('USD/kg');
    await plant.db('purchase_orders').where({ currency: 'USD' }).update({ status: 'cancelled' });
    await plant.db('offers').where({ code: 'IN-USD' }).update({ valid_until: '2027-01-31' });
  });
  it('shows how full containers are, and the least order that lines reach together', async () => {
    await plant
      .db('suppliers')
      .update({ container_kg: 1_000_000, container_cost: 2500, min_order_value: 100 });
    const text = await open('/buy/proposal');
    expect(text).toMatch(/<span class="tag look">1 container, [\d,]+ % full<\/span>/);
    expect(text).toContain(', freight 2,500,');
    expect(text).toContain('>100.00 EUR</td>');
    await plant.db('suppliers').update({ container_kg: null, container_cost: null, min_order_value: null });
  });
});

describe('the record of a supplier', () => {
  it('says what came late and how much shorter than ordered, from the receipts themselves', async () => {
    const line = {
      'lines-grade-0': 'BF-01',
      'lines-widthUm-0': '1050',
      'lines-lengthMm-0': '24000',
      'lines-rolls-0': '2',
    };
    const head = {
      supplier: 'S1',
      status: 'sent',
      orderedOn: '2027-01-04',
      code: 'PO-RECORD',
      requestKey: 'record-test-0001',
    };
    const wanted = { ...line, 'lines-wantedOn-0': '2027-02-24' };
    expect((await visitor.send('/new/purchase-orders', { ...head, ...wanted })).status).toBe(303);
    const received = {
      supplier: 'S1',
      purchaseOrder: 'PO-RECORD',
      receivedOn: '2027-03-01',
      numbers: 'our next numbers',
      item: 'BF-01',
      widthUm: '1050',
      lengthMm: '24000',
      tolerancePct: '2',
      list: 'Q-1 23900\nQ-2 24000',
      by: 'Mara',
      do: 'all',
      requestKey: 'record-test-0002',
    };
    const done = await visitor.send('/receive', received);
    expect(done.status).toBe(303);
    const text = await open('/suppliers/S1/record');
    expect(text).toMatch(
      /Length<\/th><td class="n">-50 m \(-0.21 %\)<\/td><td class="n">1<\/td><td class="n">0<\/td><td class="n">1<\/td>/,
    );
    expect(text).toContain('Delay in the mean 5 days, over 1 delivery');
    expect(text).toContain('0 rolls of 2 came by the day wanted (0 %); the others 5 days late in the mean.');
    expect(text).toMatch(
      /PO-RECORD<\/a>.*?5 days<\/span><\/td><td class="n">0<\/td><td class="n">-50<\/td><td class="n">-0.2<\/td><td class="n">-100</,
    );
    expect(await open('/suppliers/S1')).toContain('href="/suppliers/S1/record"');
    expect((await visitor.open('/suppliers/S-none/record')).status).toBe(404);
  });
});

describe('which width to buy', () => {
  it('draws the least cost over the width, names the best, and what one more width would save', async () => {
    const text = await open('/buy/widths?product=CP-10&from=900&to=1100&step=50');
    expect(text).toMatch(/class="answer">[\d,.]+ mm costs least: [\d,.]+ EUR/);
    const cells = [
      ...text.matchAll(/<th scope="row" class="n">([\d,]+)<\/th><td class="n">(?:<b>)?([\d,.]+)/g),
    ];
    expect(cells.map((m) => m[1])).toEqual(['900', '950', '1,000', '1,050']);
    expect(text).toContain('1,100</th><td class="n">too narrow for a strip or too wide for the slitter');
    const costs = cells.map((m) => Number(m[2]?.replaceAll(',', '')));
    const best = /answer">[\d,.]+ mm costs least: ([\d,.]+) EUR/.exec(text)?.[1]?.replaceAll(',', '');
    expect(Number(best)).toBe(Math.min(...costs));
    const pair = /mm it is ([\d,.]+): one more width would save/.exec(text)?.[1]?.replaceAll(',', '');
    expect(pair === undefined || Number(pair) <= Number(best)).toBe(true);
  });
  it('says what is wrong with the widths or the product', async () => {
    const page = await visitor.open('/buy/widths?product=CP-10&from=900&to=100&step=10');
    expect(page.status).toBe(422);
    expect(plain(page.text)).toContain('The widths are not a range');
    expect((await visitor.open('/buy/widths?product=CP-10&from=100&to=1000&step=1')).status).toBe(422);
    expect((await visitor.open('/buy/widths?product=CP-none')).status).toBe(404);
  });
});
