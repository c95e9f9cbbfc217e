// Importing a file: the preview names every faulty row and stores nothing; then all good rows or none;
// the same file twice changes nothing. Files from any spreadsheet, and files that are none.
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { forgetRolls } from '../support/stock.ts';
import { openPlant, type Plant, Visitor } from './plant.ts';

let plant: Plant;
let visitor: Visitor;
beforeAll(async () => {
  plant = await openPlant();
  visitor = new Visitor(plant.app);
});
beforeEach(async () => {
  await forgetRolls(plant.db, 'N');
  await visitor.open('/import/rolls');
});

const HEAD = 'Roll,Kind,Item,Width (mm),Length (m),Status,Use by';
const GOOD = `${HEAD}\nN1,coated,CP-10,1050,12000,released,2028-01-31\nN2,base,BF-01,1050,24000,released,\n`;
const FAULTY = `${GOOD}N3,coated,CP-77,1050,12000,released,\nN4,coated,CP-10,-5,12000,released,2028-13-01\n`;
const plain = (html: string): string =>
  html.replaceAll('&#34;', '"').replaceAll('&#39;', "'").replaceAll('&amp;', '&');
const imported = async () => plant.db('rolls').where('code', 'like', 'N%').orderBy('code').pluck('code');
const upload = (text: string | Buffer) => visitor.upload('/import/rolls', { file: Buffer.from(text) });
const ticketOf = (html: string): string => /name="ticket" value="([^"]+)"/.exec(html)?.[1] ?? '';
const apply = (ticket: string, mode: string) => visitor.send('/import/rolls/apply', { ticket, mode });

describe('a good file', () => {
  it('is previewed without storing anything, then imported', async () => {
    const preview = await upload(GOOD);
    expect(preview.status).toBe(200);
    expect(plain(preview.text)).toMatch(/<b>2<\/b> rows:\s*<b>2<\/b> new, <b>0<\/b> changed/);
    expect(await imported()).toEqual([]);
    const result = await apply(ticketOf(preview.text), 'all-or-nothing');
    expect(result.status).toBe(200);
    expect(plain(result.text)).toContain('2 new, 0 changed, 0 as they were');
    expect(await imported()).toEqual(['N1', 'N2']);
  });
  it('changes nothing when it is imported again', async () => {
    await apply(ticketOf((await upload(GOOD)).text), 'all-or-nothing');
    const again = await upload(GOOD);
    expect(again.text).toContain('There is nothing to import.');
    expect(ticketOf(again.text)).toBe('');
  });
  it('may be pasted', async () => {
    const preview = await visitor.upload('/import/rolls', { table: GOOD.replaceAll(',', '\t') });
    expect(preview.text).toContain('tabs between the columns');
    await apply(ticketOf(preview.text), 'good-rows');
    expect(await imported()).toEqual(['N1', 'N2']);
  });
  it.each([
    [
      'semicolons and decimal commas',
      'Roll;Kind;Item;Width (mm);Length (m);Status\nN1;coated;CP-10;1050,5;12000,25;released',
    ],
    [
      'a byte order mark',
      `\ufeffRoll;Kind;Item;Width (mm);Length (m);Status\nN1;coated;CP-10;1050,5;12000,25;released`,
    ],
    [
      'columns in another order',
      'Length (m);Width (mm);Item;Kind;Roll;Status\n12000,25;1050,5;CP-10;coated;N1;released',
    ],
  ])('is read with %s', async (_what, text) => {
    const preview = await upload(text);
    expect(preview.text).toContain('semicolons between the columns and a decimal comma');
    await apply(ticketOf(preview.text), 'all-or-nothing');
    expect(await plant.db('rolls').where({ code: 'N1' }).first('width_um', 'length_mm')).toEqual({
      width_um: 1_050_500,
      length_mm: 12_000_250,
    });
  });
});

describe('a file with faults', () => {
  it('names each faulty row with column, value, what is wrong and what would be right', async () => {
    const preview = await upload(FAULTY);
    expect(preview.status).toBe(422);
    const lines = plain(preview.text)
      .split('<tr>')
      .filter((line) => line.includes('<code>'));
    expect(
      lines.some(
        (l) => l.includes('>4<') && l.includes('Item') && l.includes('there is no coated product CP-77'),
      ),
    ).toBe(true);
    expect(
      lines.some((l) => l.includes('>5<') && l.includes('Width (mm)') && l.includes('-5 is negative')),
    ).toBe(true);
    expect(
      lines.some((l) => l.includes('>5<') && l.includes('Use by') && l.includes('is not a calendar day')),
    ).toBe(true);
    expect(preview.text).toContain('Import the 2 good rows, leave out 2');
  });
  it('imports its good rows when that is chosen, and says what was left out', async () => {
    const result = await apply(ticketOf((await upload(FAULTY)).text), 'good-rows');
    expect(result.status).toBe(200);
    expect(result.text).toContain('2 left out');
    expect(await imported()).toEqual(['N1', 'N2']);
  });
  it('imports none when all or nothing is chosen', async () => {
    const result = await apply(ticketOf((await upload(FAULTY)).text), 'all-or-nothing');
    expect(result.status).toBe(422);
    expect(result.text).toContain('Nothing was imported');
    expect(await imported()).toEqual([]);
  });
  it.each([
    ['an empty file', Buffer.alloc(0)],
    ['a file of spaces', '  \n \n'],
    ['a head without rows', HEAD],
    ['a column that does not exist', `${HEAD},Colour\nN1,coated,CP-10,1050,12000,released,,red`],
    ['a column that is missing', 'Roll,Kind\nN1,coated'],
    ['a wrong encoding', Buffer.from([0xff, 0xfe, 0x00, 0x01, 0x02, 0x00, 0x03])],
    ['a picture', Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex')],
    ['a row with too many cells', `${HEAD}\nN1,coated,CP-10,1050,12000,released,,x,y`],
    ['a quote that never ends', `${HEAD}\n"N1,coated,CP-10,1050,12000,released,`],
    ['the same code twice', `${GOOD}N1,coated,CP-10,1050,12000,released,\n`],
    ['a web wider than any slitter', `${HEAD}\nN1,coated,CP-10,2500,12000,released,`],
  ])('is refused in words and stores nothing: %s', async (_what, bytes) => {
    const preview = await upload(bytes as string);
    expect(preview.status).toBe(422);
    expect(preview.text).toMatch(/right would be|would be right|Nothing was stored/i);
    expect(await imported()).toEqual([]);
  });
  it('says so when neither a file nor a table is given, or both, or an unknown field', async () => {
    expect((await visitor.upload('/import/rolls', {})).text).toContain(
      'Neither a file was chosen nor a table pasted',
    );
    const both = await visitor.upload('/import/rolls', { file: Buffer.from(GOOD), table: GOOD });
    expect([both.status, both.text.includes('both a file and a pasted table')]).toEqual([422, true]);
    const odd = await visitor.upload('/import/rolls', { table: GOOD }).field('colour', 'red');
    expect([odd.status, plain(odd.text).includes('has no field "colour"')]).toEqual([422, true]);
  });
});

describe('the word to import', () => {
  it('counts only for the visit, the table and the file that were previewed', async () => {
    const ticket = ticketOf((await upload(GOOD)).text);
    const stranger = new Visitor(plant.app);
    await stranger.open('/import/rolls');
    const theirs = await stranger.send('/import/rolls/apply', { ticket, mode: 'good-rows' });
    expect([theirs.status, theirs.text.includes('no longer here')]).toEqual([422, true]);
    const elsewhere = await visitor.send('/import/orders/apply', { ticket, mode: 'good-rows' });
    expect(elsewhere.status).toBe(422);
    expect((await apply('no-such-ticket', 'good-rows')).status).toBe(422);
    expect((await apply(ticket, 'whatever')).status).toBe(422);
    expect(await imported()).toEqual([]);
  });
  it('checks again, so that what has changed since the preview is seen', async () => {
    const text = `${HEAD}\nN1,coated,CP-NEW,1050,12000,released,`;
    await plant.db('products').insert({ code: 'CP-NEW', name: 'short-lived' });
    const preview = await upload(text);
    expect(preview.status).toBe(200);
    await plant.db('products').where({ code: 'CP-NEW' }).delete();
    const result = await apply(ticketOf(preview.text), 'all-or-nothing');
    expect(result.status).toBe(422);
    expect(plain(result.text)).toContain('there is no coated product CP-NEW');
    expect(await imported()).toEqual([]);
  });
});
