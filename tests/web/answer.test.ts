// The door "Answer a customer" over HTTP: one line or fields, the answer first; bad questions refused by name; a promise
// from the answer to its acknowledgement; what a second seller sees; quotes; what is left over.
import { beforeAll, describe, expect, it } from 'vitest';
import { refined } from '../support/sales.ts';
import { forgetRolls, pastTheLedger } from '../support/stock.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
}, 60_000);
/** Quotes as they are read, and days that are kept together without what keeps them so. */
const plain = (html: string): string =>
  html
    .replaceAll('&#34;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&')
    .replace(/\s+/g, ' ')
    .replace(/<span class="whole-word">([^<]*)<\/span>/g, '$1');
const ask = async (query: Record<string, string>) => {
  const page = await visitor.open(`/answer?${new URLSearchParams(query)}`);
  return { status: page.status, text: plain(page.text) };
};
const keyIn = (text: string) => /name="requestKey" value="([^"]+)"/.exec(text)?.[1] as string;
const answerIn = (text: string) => /action="\/answers\/(\d+)\/promise"/.exec(text)?.[1] as string;
const CP95 = { product: 'CP-95', width: '100', length: '1500', rolls: '2' };

describe('a question', () => {
  it('as one line gets its answer before everything else, and the fields show what was understood', async () => {
    const { status, text } = await ask({ line: '2 x 100 mm x 1500 m CP-95 by 17 Mar' });
    expect(status).toBe(200);
    expect(text.indexOf('Yes, from coated rolls: 2 rolls of 100 mm x 1,500 m of CP-95')).toBeGreaterThan(0);
    expect(text.indexOf('Yes, from')).toBeLessThan(text.indexOf('<form class'));
    expect(text).toContain('asked for by 2027-03-17');
    expect(text).toMatch(/name="width" value="100"/);
    expect(text).toContain('Nothing is displaced');
    expect(text).toMatch(/on state <code>[0-9a-f]{12}<\/code>/);
  });

  it('in fields gets the same answer as in a line', async () => {
    const line = await ask({ line: '2 x 100 mm x 1500 m CP-95' });
    const fields = await ask(CP95);
    expect(answerIn(fields.text)).toBe(answerIn(line.text));
  });

  it('shows the plan behind it with the asked rolls drawn, and its files', async () => {
    const { text } = await ask(CP95);
    const href = `/answers/${answerIn(text)}`;
    const page = plain((await visitor.open(href)).text);
    expect(page).toContain('asked rolls');
    expect(page).toContain('<svg class="field"');
    expect((await visitor.open(`${href}/plan.json`)).body.format).toBe('lanewright-plan/1');
    expect((await visitor.open(`${href}/problem.json`)).body.format).toBe('lanewright-problem/1');
    expect((await visitor.open(`${href}/proof.json`)).status).toBe(404);
    expect((await visitor.open('/answers/999999')).status).toBe(404);
    expect((await visitor.open('/answers/x')).status).toBe(404);
  });

  it('that cannot be met by its day says when, and proves that it cannot be sooner', async () => {
    const asked = { line: '40 x 145 mm x 1000 m CP-80 by 2 Mar' };
    const first = await ask(asked);
    expect(first.text).toMatch(/By 2027-\d\d-\d\d[^:]* at the latest: 40 rolls .* Whether by 2027-03-02/);
    expect(first.text).toContain('a second look is under way');
    await refined(plant.db, Number(answerIn(first.text)));
    const { text } = await ask(asked);
    expect(text).toMatch(/Not by 2027-03-02, but all on 2027-\d\d-\d\d/);
    expect(text).toContain('Proved: with all that can be ready by 2027-03-02');
    expect(text).toContain('proof.json');
    const day = /but all on (2027-\d\d-\d\d)/.exec(text)?.[1];
    expect(text).toContain(`40 rolls for ${day}.`);
  });

  it.each([
    [{ product: 'CP-77', width: '83', length: '300', rolls: '4' }, 'there is no product "CP-77"'],
    [{ ...CP95, width: 'wide' }, '"wide" is not a number'],
    [{ ...CP95, width: '1100' }, 'wider than any web of its slitters'],
    [{ ...CP95, length: '-1' }, '-1 is negative'],
    [{ ...CP95, rolls: '0' }, 'it is zero'],
    [{ ...CP95, rolls: '1,200' }, '"1,200" could mean 1200 or 1.200'],
    [{ ...CP95, date: '2027-02-28' }, '2027-02-28 is past'],
    [{ ...CP95, date: '3/4' }, 'could be day/month or month/day'],
    [{ ...CP95, date: '2027-02-30' }, 'there is no day "2027-02-30"'],
    [{ ...CP95, tolerance: '10 %' }, '"10 %" does not say whether more or fewer rolls'],
    [{ product: 'CP-95', width: '83' }, 'Finished length is missing'],
    [{ ...CP95, colour: 'red' }, 'there is no "colour" to ask for'],
    [{ line: '40 x 83 x 300 CP-95' }, '83 has no unit'],
    [{ line: '40 x 83 mm x 300 mm CP-95' }, 'it has two widths, 83 and 300 mm'],
    [{ line: '40 x 3 in x 300 m CP-95' }, 'is in inches; 1 in is 25.4 mm'],
    [{ line: '40 x 12 um x 300 m CP-95' }, 'is a thickness, not a width'],
    [{ line: '40 x 83 mm x 300 m CP-77' }, 'there is no product "CP-77"'],
    [{ line: '40 x 83 mm x 300 m CP-95 by 1 Feb 2027' }, '2027-02-01 is past'],
  ])('%j is refused in words, keeps what was typed, and stores nothing', async (query, words) => {
    const before = await plant.db('answers').count();
    const { status, text } = await ask(query as unknown as Record<string, string>);
    expect(status).toBe(422);
    expect(text).toContain(words);
    expect(text).toContain('Right would be');
    expect(text).not.toContain('Promise it');
    expect(await plant.db('answers').count()).toEqual(before);
  });
});

describe('a promise', () => {
  it('is made from the answer, once, and ends at its acknowledgement', async () => {
    const { text } = await ask(CP95);
    const form = {
      kind: 'order',
      order: 'SO-9001',
      customer: 'C-01',
      hours: '',
      by: 'Ann',
      requestKey: keyIn(text),
    };
    const path = `/answers/${answerIn(text)}/promise`;
    const sent = await visitor.send(path, form);
    expect([sent.status, sent.headers.location]).toEqual([303, '/acknowledge/SO-9001']);
    const again = await visitor.send(path, form);
    expect([again.status, again.headers.location]).toEqual([303, '/acknowledge/SO-9001']);
    const page = plain((await visitor.open('/acknowledge/SO-9001')).text);
    expect(page).toContain('Order acknowledgement SO-9001');
    expect(page).toContain('We confirm your order');
    expect(page).toContain('Accepted');
    expect(page).toContain('2 rolls');
    expect(page).toMatch(/core 76.2 mm inside, at most 1 splice a roll/);
    expect(plain((await visitor.open('/promises')).text)).toContain('2 x 100 mm x 1,500 m CP-95');
    expect((await visitor.open('/acknowledge/SO-0')).status).toBe(404);
  });

  it('on a state that has changed is not made: 409, with the answer of now and what was typed', async () => {
    const { text } = await ask(CP95);
    await pastTheLedger(plant.db, (trx) =>
      trx('rolls').insert({
        code: 'FX',
        kind: 'finished',
        item: 'CP-95',
        width_um: 100_000,
        length_mm: 1_500_000,
        status: 'released',
      }),
    );
    const form = {
      kind: 'order',
      order: 'SO-9002',
      customer: 'C-01',
      hours: '',
      by: 'Ben',
      requestKey: keyIn(text),
    };
    const sent = await visitor.send(`/answers/${answerIn(text)}/promise`, form);
    expect(sent.status).toBe(409);
    expect(plain(sent.text)).toContain('Not promised: since that answer was given');
    expect(plain(sent.text)).toContain('1 of 2 lie finished on the shelf: FX');
    expect(sent.text).toContain('value="SO-9002"');
    expect(answerIn(sent.text)).not.toBe(answerIn(text));
    expect(await plant.db('order_lines').where({ code: 'SO-9002' }).first()).toBeUndefined();
    await forgetRolls(plant.db, 'FX');
  });

  it('without a name, with a taken code or an unknown customer stays a form, 422', async () => {
    const { text } = await ask(CP95);
    const path = `/answers/${answerIn(text)}/promise`;
    const form = {
      kind: 'quote',
      order: 'SO-4101',
      customer: 'C-99',
      hours: '-1',
      by: 'Ann',
      requestKey: keyIn(text),
    };
    const wrong = await visitor.send(path, form);
    expect(wrong.status).toBe(422);
    for (const words of [
      'order line SO-4101 is there already',
      'there is no customer "C-99"',
      '"-1" is no time to hold a quote',
    ])
      expect(plain(wrong.text)).toContain(words);
    const nameless = await visitor.send(path, { ...form, by: ' ' });
    expect(nameless.status).toBe(422);
    expect(nameless.text).toContain('Give your name');
  });

  it('as a quote is held, can be made an order within its time, and not after it', async () => {
    const held = async (order: string) => {
      const { text } = await ask(CP95);
      const form = { kind: 'quote', order, customer: 'C-01', hours: '1', by: 'Ann', requestKey: keyIn(text) };
      expect((await visitor.send(`/answers/${answerIn(text)}/promise`, form)).status).toBe(303);
    };
    await held('Q-1');
    await held('Q-2');
    expect(plain((await visitor.open('/promises')).text)).toContain('2 quotes are held');
    // The planner sees what is kept back, and until when.
    const held1 =
      /quote<\/span> <a href="\/orders\/Q-1">Q-1<\/a>: 2 rolls of 100 mm x 1,500 m for .*?, held until/;
    const choosing = plain((await visitor.open('/plans')).text);
    expect(choosing).toMatch(held1);
    const [roll] = await plant
      .db('promised_rolls as h')
      .join('promises as p', 'p.id', 'h.promise')
      .where('p.order_line', 'Q-1')
      .pluck('h.roll');
    expect(choosing).toContain(`<a href="/rolls/${roll}">${roll}</a>`);
    expect(plain((await visitor.open(`/rolls/${roll}`)).text)).toMatch(held1);
    expect(plain((await visitor.open('/orders/Q-1')).text)).toMatch(held1);
    expect((await visitor.send('/promises/Q-1/accept', {})).status).toBe(303);
    expect(await plant.db('order_lines').where({ code: 'Q-1' }).first()).toMatchObject({ status: 'open' });
    await plant
      .db('promises')
      .where({ order_line: 'Q-2' })
      .update({ until: plant.db.raw("now() - interval '1 s'") });
    const late = await visitor.send('/promises/Q-2/accept', {});
    expect(late.status).toBe(409);
    expect(plain(late.text)).toContain('Quote Q-2 is not held any more: it has lapsed');
    expect(plain((await visitor.open('/promises')).text)).toContain('quote lapsed');
    expect(await plant.db('order_lines').where({ code: 'Q-2' }).first()).toMatchObject({
      status: 'cancelled',
    });
    expect((await visitor.send('/promises/Q-9/withdraw', {})).status).toBe(404);
  });
});

describe('what is left over', () => {
  it('ranks stubs by what the catalogue widths that fill them would bring', async () => {
    const text = plain((await visitor.open('/trim')).text);
    expect(text).toMatch(/R7037<\/a><\/th><td>stub/);
    expect(text).toContain('catalogue widths worth');
    const values = [...text.matchAll(/<td class="n">(\d+\.\d\d)<\/td><\/tr>/g)].map((m) => Number(m[1]));
    expect(values.length).toBeGreaterThan(1);
    expect(values).toEqual([...values].sort((a, b) => b - a));
  });
});
