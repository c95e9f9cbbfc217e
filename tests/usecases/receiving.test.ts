// Receiving film: against an order and without one, what is wrong, what must be confirmed, and what is done once.
import type { Knex } from 'knex';
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { createPurchaseOrder } from '../../src/usecases/buying/createPurchaseOrder.ts';
import { openPurchaseOrder } from '../../src/usecases/buying/readPurchaseOrders.ts';
import { openReceipt } from '../../src/usecases/receiving/readReceipts.ts';
import {
  confirmKey,
  previewReceipt,
  receiveRolls,
  sortedRolls,
} from '../../src/usecases/receiving/receiveRolls.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, '2027-03-01' as IsoDate);
});

const DAY = '2027-03-01' as IsoDate;
let key = 0;
const how = { by: 'Receiver', mode: 'all' as const, confirmed: [] as string[] };
const send = (
  head: Record<string, string>,
  list: string,
  more: Partial<typeof how> & { requestKey?: string } = {},
) =>
  receiveRolls(
    db,
    { head: { receivedOn: '2027-03-01', tolerancePct: '2', numbers: 'our next numbers', ...head }, list },
    { requestKey: `receipt-${++key}-key`, ...how, ...more } as Parameters<typeof receiveRolls>[2],
  );
const rollsNow = async () => Number((await db('rolls').count({ n: '*' }))[0]?.n);

// BF-01: 4.5 um, 1.395 g/cm3; 1050 mm x 24,000 m is 158.193 kg.
const FILM = {
  supplier: 'S1',
  item: 'BF-01',
  widthUm: '1050',
  lengthMm: '24000',
  lot: 'L-77',
  location: 'A1-1',
};

describe('receiving without an order', () => {
  it('takes many rolls in at once, in quarantine, each with its first movement', async () => {
    const sent = await send({ ...FILM, pricePerKg: '9.80' }, 'roll;mass (kg)\nK-1;158.2\nK-2;157.9\n');
    if (!sent.ok) throw new Error(JSON.stringify(sent.faults));
    const receipt = await openReceipt(db, String(sent.entry));
    expect(receipt).toMatchObject({ supplier: 'S1', purchaseOrder: null, by: 'Receiver' });
    expect(receipt.rolls.map((roll) => [roll.supplierRoll, roll.lengthMm, roll.massKg, roll.status])).toEqual(
      [
        ['K-1', 24_000_000, 158.2, 'in quarantine'],
        ['K-2', 24_000_000, 157.9, 'in quarantine'],
      ],
    );
    const roll = await db('rolls').where('code', receipt.rolls[0]?.roll).first();
    expect(roll).toMatchObject({
      kind: 'base',
      item: 'BF-01',
      lot: 'L-77',
      supplier: 'S1',
      location: 'A1-1',
      cost_per_roll: 1550.36,
    });
    expect(await db('movements').where('roll', roll.code)).toMatchObject([
      { side: 'in', cause: 'received', length_mm: 24_000_000, mass_mg: 158_200_000 },
    ]);
  });

  it('reads plain lines as roll, length, mass, diameter', async () => {
    const { rolls, faults } = await previewReceipt(db, {
      head: { ...FILM, receivedOn: '2027-03-01', tolerancePct: '2', coreOutsideUm: '168' },
      list: 'P-1 24000 158.2 402.8\nP-2\t12000\t79.1\nP-3, 24000, 158.2\nP-4',
    });
    expect(faults).toEqual([]);
    expect(
      rolls.map(({ number, supplierRoll, row, diameterUm, faults: f }) => [
        number,
        supplierRoll,
        row.lengthMm,
        row.massKg,
        diameterUm,
        f.length,
      ]),
    ).toEqual([
      [1, 'P-1', 24_000_000, 158.2, 402_800, 0],
      [2, 'P-2', 12_000_000, 79.1, null, 0],
      [3, 'P-3', 24_000_000, 158.2, null, 0],
      [4, 'P-4', 24_000_000, null, null, 0],
    ]);
  });

  it('names each faulty row and why, and takes in none of them', async () => {
    const before = await rollsNow();
    const list =
      'roll;length;grade;diameter\nK-1;24000;BF-01;\nW-1;twelve;BF-01;\nW-2;24000;BF-99;\nW-3;24000;BF-01;400\nW-4;24000;BF-01;\nW-4;24000;BF-01;\n';
    const sent = await send(FILM, list);
    if (sent.ok) throw new Error('it was taken in');
    const wrong = sent.faults.rolls.map(({ faults }) => faults.map((fault) => fault.wrong).join());
    expect(wrong).toEqual([
      expect.stringMatching(/^K-1 of S1 came in before, as B\d{6}$/),
      '"twelve" is not a number',
      'there is no base-film grade BF-99',
      'a diameter says nothing without the outside of the core',
      '',
      'W-4 is also in row 6',
    ]);
    expect(await rollsNow()).toBe(before);
    const good = await send(FILM, list, { mode: 'good-rolls' as never });
    expect(good.ok).toBe(true);
    expect(await rollsNow()).toBe(before + 1);
  });

  it('says what is missing above the list', async () => {
    const sent = await send({ ...FILM, supplier: '' }, '');
    if (sent.ok) throw new Error('it was taken in');
    expect(sent.faults.faults.map(({ field, wrong }) => [field, wrong])).toEqual([
      ['supplier', 'nobody is named who sent it'],
      ['list', 'the roll list is empty'],
    ]);
  });

  it('keeps the numbers of the supplier when told, unless a roll has them', async () => {
    const kept = { ...FILM, numbers: "the supplier's numbers" };
    const sent = await send(kept, 'N-1 24000\nR7001 24000', { mode: 'good-rolls' as never });
    expect(sent.ok).toBe(true);
    expect(await db('rolls').where('code', 'N-1').first()).toMatchObject({ status: 'in quarantine' });
    expect((await db('rolls').where('code', 'R7001').first()).lot).not.toBe(FILM.lot);
  });

  it('takes one form in once, sent twice at once or again later', async () => {
    const before = await rollsNow();
    const again = () => send(FILM, 'D-1 24000', { requestKey: 'the-same-form' });
    const [a, b] = await Promise.all([again(), again()]);
    const c = await again();
    expect([a.ok && a.entry, b.ok && b.entry]).toEqual([c.ok && c.entry, c.ok && c.entry]);
    expect(await rollsNow()).toBe(before + 1);
  });

  it('takes a roll in once when two people receive it at once', async () => {
    const both = await Promise.all([send(FILM, 'E-1 24000'), send(FILM, 'E-1 24000')]);
    expect(both.filter(({ ok }) => ok)).toHaveLength(1);
    const refused = both.find(({ ok }) => !ok);
    expect(refused && !refused.ok && refused.faults.rolls[0]?.faults[0]?.wrong).toMatch(/came in before/);
  });
});

describe('length, mass and diameter that disagree', () => {
  const list = 'M-1 24000 150';

  it('have to be confirmed', async () => {
    const sent = await send(FILM, list);
    if (sent.ok) throw new Error('it was taken in');
    expect(sent.faults.rolls[0]?.warnings).toEqual([
      'its mass stands for 22,757 m, 5.2 % less than the 24,000 m on its label',
    ]);
    expect(sortedRolls(sent.faults, []).open).toHaveLength(1);
  });

  it('are taken in once confirmed, and the receipt keeps what was confirmed', async () => {
    const seen = await previewReceipt(db, {
      head: { ...FILM, receivedOn: '2027-03-01', tolerancePct: '2' },
      list,
    });
    const confirmed = seen.rolls.map(confirmKey);
    expect((await send(FILM, 'M-1 24000 149', { confirmed })).ok).toBe(false);
    const sent = await send(FILM, list, { confirmed });
    if (!sent.ok) throw new Error('it was not taken in');
    expect((await openReceipt(db, String(sent.entry))).rolls[0]?.confirmed).toEqual(seen.rolls[0]?.warnings);
  });

  it('are no matter within the tolerance that was set', async () => {
    expect((await send({ ...FILM, tolerancePct: '6' }, 'M-2 24000 150')).ok).toBe(true);
  });
});

describe('receiving against a purchase order', () => {
  let code: string;
  beforeEach(async () => {
    const line = { grade: 'BF-01', widthUm: '1050', lengthMm: '24000', rolls: '2', pricePerKg: '9.5' };
    const made = await createPurchaseOrder(
      db,
      {
        head: { supplier: 'S1', status: 'sent' },
        lines: [line, {}, { ...line, grade: 'BF-02', widthUm: '820', rolls: '1' }],
        requestKey: `order-${++key}-key`,
      },
      DAY,
    );
    if (!made.ok) throw new Error(JSON.stringify(made.faults));
    code = made.code;
  });
  const received = async () => (await openPurchaseOrder(db, code)).lines.map((line) => line.received);

  it('counts the rolls of each line, in parts, and closes the order when all have come', async () => {
    const head = { purchaseOrder: code, lengthMm: '24000' };
    const list = (n: string) => `roll;grade;width\n${n}a;BF-01;1050\n`;
    expect((await send(head, list(code))).ok).toBe(true);
    expect(await received()).toEqual([1, 0]);
    expect((await openPurchaseOrder(db, code)).status).toBe('sent');
    expect((await send(head, `roll;grade;width\n${code}b;BF-01;1050\n${code}c;BF-02;820`)).ok).toBe(true);
    expect(await received()).toEqual([2, 1]);
    expect((await openPurchaseOrder(db, code)).status).toBe('closed');
    expect((await send(head, list('late'))).ok).toBe(false);
  });

  it('takes its price for the books', async () => {
    await send(
      { purchaseOrder: code, lengthMm: '24000' },
      `roll;grade;width;mass\n${code}p;bf-01;1050;158.2`,
    );
    const roll = await db('received_rolls').where('supplier_roll', `${code}p`).first();
    expect(await db('rolls').where('code', roll.roll).first()).toMatchObject({
      cost_per_roll: 1502.9,
      supplier: 'S1',
    });
  });

  it('warns of more rolls than ordered and of another width, and refuses film that nobody ordered', async () => {
    const rows = ['x;BF-02;820', 'y;BF-02;820', 'z;BF-02;818', 'w;BF-03;1050'].map((row) => `${code}${row}`);
    const sent = await send(
      { purchaseOrder: code, lengthMm: '24000' },
      ['roll;grade;width', ...rows].join('\n'),
    );
    if (sent.ok) throw new Error('it was taken in');
    expect(sent.faults.rolls.map(({ warnings }) => warnings)).toEqual([
      [],
      [`line 2 of ${code} asks for 1, this is number 2`],
      ['it is 818 mm wide, line 2 asks for 820 mm', `line 2 of ${code} asks for 1, this is number 3`],
      [],
    ]);
    expect(sent.faults.rolls[3]?.faults[0]?.wrong).toBe(`no one line of ${code} asks for BF-03, 1050 mm`);
  });

  it('refuses an order that is not sent, and another supplier than its own', async () => {
    const made = await createPurchaseOrder(
      db,
      {
        head: { supplier: 'S1', status: 'draft' },
        lines: [{ grade: 'BF-01', widthUm: '1050', lengthMm: '24000', rolls: '2' }],
        requestKey: `order-${++key}-key`,
      },
      DAY,
    );
    if (!made.ok) throw new Error('not made');
    const draft = await send({ purchaseOrder: made.code }, 'Q-1 24000');
    expect(!draft.ok && draft.faults.faults[0]?.wrong).toBe(`purchase order ${made.code} is draft`);
    const other = await send({ purchaseOrder: code, supplier: 'S2' }, 'Q-1 24000');
    expect(!other.ok && other.faults.faults[0]?.wrong).toBe(`${code} was ordered from S1`);
  });
});

describe('a purchase order', () => {
  it('says by line what is wrong, and stores nothing', async () => {
    const count = async () => Number((await db('purchase_orders').count({ n: '*' }))[0]?.n);
    const before = await count();
    const made = await createPurchaseOrder(
      db,
      {
        head: { supplier: 'S9' },
        lines: [
          { grade: 'BF-01', widthUm: 'wide', lengthMm: '24000', rolls: '2' },
          { grade: 'BF-77', widthUm: '1050', lengthMm: '24000', rolls: '0' },
        ],
        requestKey: 'faulty-order',
      },
      DAY,
    );
    if (made.ok) throw new Error('it was stored');
    expect(made.faults.map(({ line, field }) => [line, field])).toEqual([
      [0, 'widthUm'],
      [1, 'rolls'],
      [undefined, 'supplier'],
      [1, 'grade'],
    ]);
    expect(await count()).toBe(before);
  });

  it('is made once however often its form is sent', async () => {
    const form = {
      head: { supplier: 'S1' },
      lines: [{ grade: 'BF-01', widthUm: '1050', lengthMm: '24000', rolls: '2' }],
      requestKey: 'order-once',
    };
    const made = await Promise.all([createPurchaseOrder(db, form, DAY), createPurchaseOrder(db, form, DAY)]);
    expect(made[0]).toEqual(made[1]);
    expect(await createPurchaseOrder(db, form, DAY)).toEqual(made[0]);
  });
});
