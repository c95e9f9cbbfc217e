// Importing and exporting tables as spreadsheets write them, on every database of the run.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { ResourceName } from '../../src/domain/resource.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { exportCsv } from '../../src/usecases/tables/exportCsv.ts';
import { applyImport, type ImportMode, previewImport } from '../../src/usecases/tables/importRows.ts';
import { getRow, listRows } from '../../src/usecases/tables/listRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { databaseServer, freshDatabase } from '../support/database.ts';

const all = { page: 1, pageSize: 1000, sort: 'code', descending: false, filters: {}, search: '' };
const HEADS = 'Order;Customer;Product;Width (mm);Finished length (m);Rolls;Due';

describe(`importing tables into the ${databaseServer().name} database`, () => {
  let db: Knex;
  const bytes = (file: string | Buffer) => (typeof file === 'string' ? Buffer.from(file) : file);
  const preview = (name: ResourceName, file: string | Buffer) =>
    previewImport(db, RESOURCES[name], bytes(file));
  const apply = (name: ResourceName, file: string | Buffer, mode: ImportMode = 'all-or-nothing') =>
    applyImport(db, RESOURCES[name], bytes(file), { mode });
  const order = (code: string) => getRow(db, RESOURCES.orders, code);
  const total = async (name: ResourceName) => (await listRows(db, RESOURCES[name], all)).total;
  const words = async (name: ResourceName, file: string | Buffer) =>
    (await preview(name, file)).faults
      .map((f) => `${f.row ?? 'file'}|${f.column ?? ''}|${f.wrong}|${f.right}`)
      .join('\n');

  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, '2027-03-01' as IsoDate);
  });

  const DIALECTS: [string, string | Buffer][] = [
    ['semicolons and decimal commas', `${HEADS}\nX-1;C-01;CP-10;83,5;1.300;5;17.03.2027\n`],
    [
      'commas and decimal points, quoted thousands',
      `${HEADS.replaceAll(';', ',')}\nX-1,C-01,CP-10,83.5,"1,300",5,2027-03-17\n`,
    ],
    [
      'tabs and Windows line ends',
      `${HEADS.replaceAll(';', '\t')}\r\nX-1\tC-01\tCP-10\t83.5\t1300.0\t5\t2027-03-17\r\n`,
    ],
    ['a byte order mark and "sep="', `\ufeffsep=;\r\n${HEADS}\r\nX-1;C-01;CP-10;83,5;1300;5;2027-03-17\r\n`],
    [
      'UTF-16 as a spreadsheet saves "Unicode text"',
      Buffer.from(
        `\ufeff${HEADS.replaceAll(';', '\t')}\r\nX-1\tC-01\tCP-10\t83,5\t1300\t5\t2027-03-17\r\n`,
        'utf16le',
      ),
    ],
    [
      'other heads, other order, empty lines and a trailing delimiter',
      '\nROLLS;finished length;width mm;id;product;customer;due;\n\n5;1300;83,5;X-1;cp-10;c-01;2027-03-17;\n;;;;;;;\n',
    ],
    ['units in the cells', `${HEADS}\nX-1;C-01;CP-10;83,5 mm;1300 m;5;2027-03-17\n`],
  ];
  it.each(DIALECTS)('reads %s', async (_title, file) => {
    await db('order_lines').where('code', 'X-1').delete();
    expect(await preview('orders', file)).toMatchObject({ rows: 1, good: 1, fresh: 1, faults: [] });
    expect(await apply('orders', file)).toMatchObject({ imported: true, fresh: 1 });
    expect(await order('X-1')).toMatchObject({
      customer: 'C-01',
      product: 'CP-10',
      widthUm: 83_500,
      lengthMm: 1_300_000,
      rolls: 5,
      dueOn: '2027-03-17',
      priority: 'normal',
    });
  });

  it('reads Windows text with umlauts, quoted line breaks and doubled quotation marks', async () => {
    const file = Buffer.from(
      'Customer;Name;Note\nK-1;M\u00fchlb\u00e4cker (fictional);"first line\nsecond ""line"""\n',
      'latin1',
    );
    expect(await apply('customers', file)).toMatchObject({ imported: true, fresh: 1 });
    expect(await getRow(db, RESOURCES.customers, 'K-1')).toEqual({
      code: 'K-1',
      name: 'M\u00fchlb\u00e4cker (fictional)',
      note: 'first line\nsecond "line"',
    });
  });

  it('changes nothing when the same file is imported twice', async () => {
    const file = `${HEADS}\nY-1;C-01;CP-10;83;300;5;2027-03-17\nY-2;C-02;CP-20;60;450;7;\n`;
    expect(await apply('orders', file)).toMatchObject({ imported: true, fresh: 2, changed: 0, unchanged: 0 });
    const count = await total('orders');
    expect(await preview('orders', file)).toMatchObject({ fresh: 0, changed: 0, unchanged: 2 });
    expect(await apply('orders', file)).toMatchObject({ imported: true, fresh: 0, changed: 0, unchanged: 2 });
    expect(await total('orders')).toBe(count);
  });

  it('changes only the columns that a file has', async () => {
    await apply('orders', `${HEADS}\nY-3;C-01;CP-10;83;300;5;2027-03-17\n`);
    expect(await apply('orders', 'code,rolls\ny-3,9\n')).toMatchObject({
      imported: true,
      changed: 1,
      fresh: 0,
    });
    expect(await order('Y-3')).toMatchObject({ code: 'Y-3', rolls: 9, widthUm: 83_000, dueOn: '2027-03-17' });
  });

  const FAULTY = [
    HEADS,
    'Z-1;C-01;CP-10;83;300;5;2027-03-17',
    'Z-2;C-01;CP-11;83;300;5;2027-03-17',
    'Z-3;C-01;CP-10;1500;300;5;2027-03-17',
    'Z-4;C-01;CP-10;83;300;-5;2027-03-17',
    'Z-5;C-99;CP-10;83;0;5;2027-13-01',
    'Z-6;C-01;CP-10;83;300;5;2027-03-17',
    'Z-6;C-01;CP-10;89;300;5;2027-03-17',
    ';C-01;CP-10;89;300;5;2027-03-17',
    'Z-7;C-01;CP-10;89;300;5;2027-03-17;surplus',
  ].join('\n');

  it('names row, column, what is wrong and what would be right for every faulty row', async () => {
    const seen = await preview('orders', FAULTY);
    expect(seen).toMatchObject({ delimiter: ';', rows: 9, good: 1, fresh: 1 });
    const found = await words('orders', FAULTY);
    for (const expected of [
      /^3\|Product\|there is no coated product CP-11\|a code from the list/m,
      /^4\|Width \(mm\)\|1500 mm is wider than the web of any slitter.*\|25 to 1068 mm/m,
      /^5\|Rolls\|-5 is negative\|a whole number from 1/m,
      /^6\|Finished length \(m\)\|it is zero\|a number above 0/m,
      /^6\|Customer\|there is no customer C-99/m,
      /^6\|Due\|"2027-13-01" is not a calendar day.*\|a day written yyyy-mm-dd/m,
      /^7\|Order\|Z-6 is also in row 8\|each code once/m,
      /^8\|Order\|Z-6 is also in row 7/m,
      /^9\|Order\|Order is missing/m,
      /^10\|\|column 8 has a value and no name/m,
    ])
      expect(found).toMatch(expected);
  });

  it('imports nothing of a file with a faulty row, unless only the good rows are asked for', async () => {
    const count = await total('orders');
    expect(await apply('orders', FAULTY, 'all-or-nothing')).toMatchObject({ imported: false, fresh: 0 });
    expect(await total('orders')).toBe(count);
    expect(await apply('orders', FAULTY, 'good-rows')).toMatchObject({ imported: true, fresh: 1 });
    expect(await total('orders')).toBe(count + 1);
    expect(await order('Z-1')).toBeDefined();
  });

  const REFUSED: [string, string | Buffer, RegExp][] = [
    ['an empty file', '', /file\|\|the file is empty/],
    ['a file of blanks', ' \n;;\n', /file\|\|the file is empty/],
    ['heads without rows', `${HEADS}\n`, /column names and no rows/],
    [
      'an unknown column',
      `${HEADS};Colour\nQ-1;C-01;CP-10;83;300;5;;red\n`,
      /file\|Colour\|order lines have no column "Colour"\|one of: Order, Customer/,
    ],
    [
      'a column in another unit',
      'Order;Width (in)\nQ-1;3\n',
      /file\|Width \(mm\)\|this column is in in\|values in mm/,
    ],
    ['a column twice', 'Order;Rolls;Rolls\nQ-1;3;4\n', /two columns are this field/],
    ['no column for the code', 'Rolls;Width\n3;4\n', /the column Order is missing/],
    ['a workbook', Buffer.from('PK\u0003\u0004 and so on', 'latin1'), /workbook.*save as.*CSV/],
    ['a picture', Buffer.from([0x89, 0x50, 0x4e, 0x47, 0, 1, 2, 3, 4, 5]), /not readable as text/],
    ['a quotation mark that is never closed', 'Order;Note\nQ-1;"no end\nQ-2;x\n', /never closed/],
    [
      'numbers of two meanings',
      `${HEADS}\nQ-1;C-01;CP-10;83;1.300;5;\n`,
      /2\|Finished length \(m\)\|"1.300" could mean 1300 or 1.300/,
    ],
  ];
  it.each(REFUSED)('refuses %s, with words', async (_title, file, expected) => {
    const count = await total('orders');
    expect(await words('orders', file)).toMatch(expected);
    expect(await apply('orders', file, 'good-rows')).toMatchObject({ imported: false });
    expect(await total('orders')).toBe(count);
  });

  it('reads point and comma by the evidence of the whole file', async () => {
    const file = `${HEADS}\nP-1;C-01;CP-10;83;1.300;5;\nP-2;C-01;CP-10;83,5;300;5;\n`;
    expect(await apply('orders', file)).toMatchObject({ imported: true });
    expect(await order('P-1')).toMatchObject({ lengthMm: 1_300_000 });
  });

  it.each(Object.keys(RESOURCES) as ResourceName[])(
    'reads its own export of %s back as unchanged',
    async (name) => {
      const file = await exportCsv(db, RESOURCES[name]);
      const rows = await total(name);
      expect(await preview(name, file)).toMatchObject({
        rows,
        unchanged: rows,
        fresh: 0,
        changed: 0,
        faults: [],
      });
    },
  );

  it('exports texts that a spreadsheet would run as formulas harmlessly, and takes them back', async () => {
    const note = '=1+1\n"quoted"; and, more';
    await saveRow(db, RESOURCES.customers, { code: 'F-1', name: '@sum', note });
    const file = await exportCsv(db, RESOURCES.customers, { search: 'F-1' });
    expect(file).toContain(`F-1,'@sum,"'=1+1`);
    await saveRow(db, RESOURCES.customers, { name: 'x', note: '' }, { code: 'F-1' });
    expect(await apply('customers', file)).toMatchObject({ imported: true, changed: 1 });
    expect(await getRow(db, RESOURCES.customers, 'F-1')).toEqual({ code: 'F-1', name: '@sum', note });
  });

  it('imports 10,000 rolls with maps, and the same again as unchanged', async () => {
    const lines = Array.from(
      { length: 10_000 },
      (_, i) =>
        `M${i},coated,CP-10,1050,${9000 + (i % 999)},released,"${i % 5}-100 m, 300-306 mm, streak | 1210 m, full width, flag"`,
    );
    const file = ['Roll,Kind,Item,Width,Length,Status,Roll map', ...lines].join('\n');
    expect(await apply('rolls', file)).toMatchObject({ imported: true, fresh: 10_000 });
    expect((await getRow(db, RESOURCES.rolls, 'M7'))?.rollMap).toHaveLength(2);
    expect(await apply('rolls', file)).toMatchObject({
      imported: true,
      fresh: 0,
      changed: 0,
      unchanged: 10_000,
    });
  });

  it('lets two imports of the same rows at once both end, without doubling or mixing a row', async () => {
    const lines = Array.from({ length: 3000 }, (_, i) => `T-${i},name ${i}`);
    const files = [lines, [...lines].reverse()].map((each) => `code,name\n${each.join('\n')}\n`);
    for (const note of ['first', 'second']) {
      const dated = files.map((file) =>
        file.replaceAll(/^(T-.*)$/gm, `$1,${note}`).replace('name\n', 'name,note\n'),
      );
      const results = await Promise.all(dated.map((file) => apply('customers', file)));
      expect(results.map((result) => result.imported)).toEqual([true, true]);
      const { total: count } = await listRows(db, RESOURCES.customers, {
        ...all,
        search: 'T-',
        filters: { note },
      });
      expect(count).toBe(3000);
    }
  });

  it('keeps no half of an import that fails while it is stored', async () => {
    const count = await total('customers');
    await db.raw(`alter table customers add constraint no_bang check (name <> 'bang')`);
    const good = Array.from({ length: 1500 }, (_, i) => `B-${i},fine`).join('\n');
    await expect(apply('customers', `code,name\n${good}\nB-x,bang\n`)).rejects.toThrow(/no_bang/);
    expect(await total('customers')).toBe(count);
    await db.raw('alter table customers drop constraint no_bang');
  });
});
