// Forms: what is wrong is named beside its field with what would be right, what was typed stays, nothing is saved.
import { beforeAll, describe, expect, it } from 'vitest';
import { RESOURCES } from '../../src/domain/resources.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
  await visitor.open('/new/rolls');
});

const ROLL = {
  code: 'R9001',
  kind: 'coated',
  item: 'CP-10',
  widthUm: '1050',
  lengthMm: '12000',
  status: 'released',
};
const ORDER = {
  code: 'SO-9001',
  customer: '',
  product: 'CP-10',
  widthUm: '83',
  lengthMm: '300',
  rolls: '40',
  overPct: '5',
  underPct: '5',
  dueOn: '2027-03-20',
  priority: 'normal',
  status: 'open',
};
const plain = (html: string): string =>
  html.replaceAll('&#34;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&');
const rowsOf = async (table: string) => Number((await plant.db(table).count({ n: '*' }))[0]?.n);

describe('a new roll', () => {
  it('is saved in whole um and mm, and its page says so', async () => {
    const answer = await visitor.send('/new/rolls', {
      ...ROLL,
      widthUm: '1050.5',
      rollMap: '0-2600 m, 300-306 mm, streak',
    });
    expect(answer.status).toBe(303);
    expect(await plant.db('rolls').where({ code: 'R9001' }).first('width_um', 'length_mm')).toEqual({
      width_um: 1_050_500,
      length_mm: 12_000_000,
    });
    const page = await visitor.open(String(answer.headers.location));
    expect(page.text).toContain('The roll was added.');
    expect(page.text).toContain('1,050.5 mm');
    expect(page.text).toContain('<svg class="field"');
    expect(page.text).toContain('streak');
  });

  it.each([
    ['a width that is no number', { widthUm: 'wide' }, 'widthUm', '"wide" is not a number'],
    ['a width in another unit', { widthUm: '1050 m' }, 'widthUm', '"1050 m" is not a number'],
    ['a number that could mean two things', { lengthMm: '12,000' }, 'lengthMm', 'could mean 12000 or 12.000'],
    ['a negative width', { widthUm: '-5' }, 'widthUm', '-5 is negative'],
    ['a length of zero', { lengthMm: '0' }, 'lengthMm', 'a roll without length is not released'],
    ['a missing length', { lengthMm: '' }, 'lengthMm', 'Length is missing'],
    ['a day that does not exist', { useBy: '2027-02-30' }, 'useBy', '"2027-02-30" is not a calendar day'],
    [
      'a day that could be read two ways',
      { receivedOn: '03/04/2027' },
      'receivedOn',
      'day/month or month/day',
    ],
    [
      'a use-by before it was received',
      { receivedOn: '2027-02-01', useBy: '2027-01-01' },
      'useBy',
      'before received',
    ],
    ['an unknown product', { item: 'CP-77' }, 'item', 'there is no coated product CP-77'],
    ['a grade where a product is due', { item: 'BF-01' }, 'item', 'there is no coated product BF-01'],
    ['a status that does not exist', { status: 'fine' }, 'status', '"fine" is not one of the choices'],
    [
      'a web wider than any slitter takes',
      { widthUm: '2500' },
      'widthUm',
      'wider than the web of any slitter',
    ],
    ['a code with line breaks', { code: 'R9\n1' }, 'code', 'is not a code'],
    ['a code that is taken', { code: 'r7030' }, 'code', 'r7030 is there already'],
    ['a bad place outside the roll', { rollMap: '0-99999 m, 1-2 mm, gel' }, 'rollMap', 'outside the roll'],
    ['a bad place that cannot be read', { rollMap: 'somewhere' }, 'rollMap', 'it needs three parts'],
  ])('is refused with %s', async (_what, wrong, field, words) => {
    const before = await rowsOf('rolls');
    const answer = await visitor.send('/new/rolls', { ...ROLL, code: 'R9002', ...wrong });
    expect(answer.status).toBe(422);
    const text = plain(answer.text);
    const beside = new RegExp(`id="w-${field}">([^<]*)<`).exec(text)?.[1];
    expect(beside).toContain(words);
    expect(beside).toContain('Right would be:');
    expect(text).toMatch(new RegExp(`id="i-${field}"[^>]*aria-invalid="true"`));
    expect(text).toContain('Not saved: ');
    expect(await rowsOf('rolls')).toBe(before);
  });

  it('keeps everything that was typed when it is refused', async () => {
    const { text } = await visitor.send('/new/rolls', {
      ...ROLL,
      code: 'R9003',
      widthUm: 'wide',
      location: 'Z9-9',
      note: 'two\nlines',
    });
    expect(text).toMatch(/name="widthUm"[^>]*value="wide"/);
    expect(text).toMatch(/name="location"[^>]*value="Z9-9"/);
    expect(text).toMatch(/name="note"[^>]*>\ntwo\nlines<\/textarea>/);
    expect(text).toMatch(/<option selected>coated<\/option>/);
  });

  it('names a field that the form does not have', async () => {
    const answer = await visitor.send('/new/rolls', { ...ROLL, code: 'R9004', colour: 'red' });
    expect(answer.status).toBe(422);
    expect(plain(answer.text)).toContain('roll has no field "colour"');
    expect((await visitor.open('/rolls/R9004')).status).toBe(404);
  });
});

describe('an order line', () => {
  beforeAll(async () => {
    ORDER.customer = (await plant.db('customers').first('code')).code;
  });
  it.each([
    ['a width no slitter of the product can make', { widthUm: '1500' }, 'widthUm', 'wider than the web'],
    ['a strip too narrow to slit', { widthUm: '3' }, 'widthUm', 'narrower than the narrowest strip'],
    ['zero rolls', { rolls: '0' }, 'rolls', 'it is zero'],
    ['half a roll', { rolls: '2.5' }, 'rolls', 'not a whole number'],
    ['an under-run above 100 %', { underPct: '150' }, 'underPct', 'too large'],
    ['an unknown customer', { customer: 'C-none' }, 'customer', 'there is no customer C-none'],
    ['an unknown product', { product: 'BF-01' }, 'product', 'there is no coated product BF-01'],
    ['a due day in words', { dueOn: 'next Friday' }, 'dueOn', 'is not a calendar day'],
  ])('is refused with %s', async (_what, wrong, field, words) => {
    const answer = await visitor.send('/new/orders', { ...ORDER, ...wrong });
    expect(answer.status).toBe(422);
    expect(new RegExp(`id="w-${field}">([^<]*)<`).exec(plain(answer.text))?.[1]).toContain(words);
    expect((await visitor.open('/orders/SO-9001')).status).toBe(404);
  });
  it('is changed, and its page shows the change', async () => {
    expect((await visitor.send('/new/orders', ORDER)).status).toBe(303);
    const form = await visitor.open('/orders/SO-9001/edit');
    expect(form.text).toMatch(/name="widthUm"[^>]*value="83"/);
    const answer = await visitor.send('/orders/SO-9001/edit', { ...ORDER, rolls: '41', priority: 'rush' });
    expect(answer.headers.location).toBe('/orders/SO-9001?did=saved');
    const page = await visitor.open('/orders/SO-9001');
    expect(page.text).toContain('41');
    expect(page.text).toContain('<span class="tag look">rush</span>');
  });
  it('is not changed when it is not there', async () => {
    expect((await visitor.send('/orders/SO-0/edit', ORDER)).status).toBe(404);
  });
});

describe('every table', () => {
  it.each(Object.values(RESOURCES))(
    '$name refuses an empty form, naming each required field',
    async (resource) => {
      const empty = Object.fromEntries(resource.fields.map((f) => [f.name, '']));
      const before = await rowsOf(resource.name === 'orders' ? 'order_lines' : resource.name);
      const answer = await visitor.send(`/new/${resource.name}`, empty);
      expect(answer.status).toBe(422);
      for (const field of resource.fields.filter((f) => f.required && f.default === undefined))
        expect(answer.text, field.name).toContain(`id="w-${field.name}"`);
      expect(await rowsOf(resource.name === 'orders' ? 'order_lines' : resource.name)).toBe(before);
    },
  );

  it.each(Object.values(RESOURCES))('$name shows, opens and changes its rows unchanged', async (resource) => {
    const list = await visitor.open(`/${resource.name}`);
    expect(list.status).toBe(200);
    const href = new RegExp(`href="(/${resource.name}/[^"?]+)"`).exec(list.text)?.[1] as string;
    expect((await visitor.open(href)).status).toBe(200);
    const table = resource.name === 'orders' ? 'order_lines' : resource.name;
    const code = decodeURIComponent(href.split('/')[2] as string);
    const before = await plant.db(table).where({ code }).first();
    const form = await visitor.open(`${href}/edit`);
    const shown = resource.fields.filter((f) => f.onlyNew === undefined);
    const typed = Object.fromEntries(shown.map((f) => [f.name, valueInForm(form.text, f.name)]));
    expect((await visitor.send(`${href}/edit`, typed)).status).toBe(303);
    expect(await plant.db(table).where({ code }).first()).toEqual(before);
  });
});

/** What a browser would send back for a field of the form. */
function valueInForm(html: string, name: string): string {
  const input = new RegExp(`<input[^>]*name="${name}"[^>]*>`).exec(html)?.[0];
  if (input) return plain(/value="([^"]*)"/.exec(input)?.[1] ?? '');
  const area = new RegExp(`<textarea[^>]*name="${name}"[^>]*>\\n([^<]*)</textarea>`).exec(html);
  if (area) return plain(area[1] as string);
  const select = new RegExp(`<select[^>]*name="${name}".*?</select>`, 's').exec(html)?.[0] ?? '';
  return plain(/<option selected>([^<]*)</.exec(select)?.[1] ?? '');
}

describe('deleting', () => {
  it('asks first, deletes, and says so', async () => {
    await visitor.send('/new/customers', { code: 'C-90', name: 'Trial' });
    const ask = await visitor.open('/customers/C-90/delete');
    expect(ask.text).toContain('Delete customer C-90');
    expect((await visitor.open('/customers/C-90')).status).toBe(200);
    const answer = await visitor.send('/customers/C-90/delete', {});
    expect(answer.headers.location).toBe('/customers?did=deleted');
    expect((await visitor.open('/customers?did=deleted')).text).toContain('The customer was deleted.');
    expect((await visitor.open('/customers/C-90')).status).toBe(404);
  });
  it('is refused for a roll, which has a history', async () => {
    const answer = await visitor.send('/rolls/R7037/delete', {});
    expect(answer.status).toBe(409);
    expect(answer.text).toContain('R7037 has a history');
    expect((await visitor.open('/rolls/R7037')).status).toBe(200);
  });
  it('is refused while others use it, naming them', async () => {
    const ask = await visitor.open('/products/CP-10/delete');
    expect(ask.text).toContain('It is still used');
    const answer = await visitor.send('/products/CP-10/delete', {});
    expect(answer.status).toBe(409);
    expect(answer.text).toMatch(/CP-10 is still used by (order line|roll) /);
    expect((await visitor.open('/products/CP-10')).status).toBe(200);
  });
});

describe('a row that two people change at the same time', () => {
  const seenIn = (html: string): string => /name="seen" value="([^"]+)"/.exec(html)?.[1] ?? '';
  const typed = async (fields: Record<string, string>) => {
    const page = await visitor.open('/customers/C-02/edit');
    const name = /name="name"[^>]*value="([^"]*)"/.exec(page.text)?.[1] ?? '';
    return { code: 'C-02', name, seen: seenIn(page.text), ...fields };
  };

  it('is not overwritten by the second, who is told what it says now and may save again', async () => {
    const first = await typed({ name: 'First name (fictional)' });
    const second = await typed({ name: 'Second name (fictional)' });
    expect((await visitor.send('/customers/C-02/edit', first)).status).toBe(303);
    const refused = await visitor.send('/customers/C-02/edit', second);
    expect(refused.status).toBe(409);
    expect(plain(refused.text)).toContain('somebody else has changed this customer');
    expect(plain(refused.text)).toContain('is now "First name (fictional)"');
    expect(refused.text).toContain('value="Second name (fictional)"');
    expect((await plant.db('customers').where({ code: 'C-02' }).first()).name).toBe('First name (fictional)');
    const again = await visitor.send('/customers/C-02/edit', { ...second, seen: seenIn(refused.text) });
    expect(again.status).toBe(303);
    expect((await plant.db('customers').where({ code: 'C-02' }).first()).name).toBe(
      'Second name (fictional)',
    );
  });

  it('may be saved alike by both', async () => {
    const both = await typed({ name: 'One name (fictional)' });
    expect((await visitor.send('/customers/C-02/edit', both)).status).toBe(303);
    expect((await visitor.send('/customers/C-02/edit', both)).status).toBe(303);
  });
});
