// Packing, dispatch and return: through the ledger, once each, by the over- and under-run rule, one winner.
import type { Knex } from 'knex';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { gs1CheckDigit } from '../../src/domain/gs1.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { dispatchPackages } from '../../src/usecases/sending/dispatchPackages.ts';
import { packRolls } from '../../src/usecases/sending/packRolls.ts';
import { returnRoll } from '../../src/usecases/sending/returnRoll.ts';
import { unpackRolls } from '../../src/usecases/sending/unpackRolls.ts';
import { freshDatabase } from '../support/database.ts';
import { PREFIX, sendingPlant, TODAY } from '../support/sending.ts';

let db: Knex;
beforeEach(async () => {
  db = await freshDatabase();
  await sendingPlant(db);
});
afterEach(() => db.destroy());

const codes = (prefix: string, from: number, to: number) =>
  Array.from({ length: to - from + 1 }, (_, i) => `${prefix}${from + i}`);
const pack = (rolls: string[], more: Partial<Parameters<typeof packRolls>[1]> = {}) =>
  packRolls(db, {
    by: 'Pia',
    order: 'T10',
    rolls,
    into: undefined,
    companyPrefix: PREFIX,
    today: TODAY,
    ...more,
  });
const send = (packages: string[], more: Partial<Parameters<typeof dispatchPackages>[1]> = {}) =>
  dispatchPackages(db, { by: 'Pia', packages, shortIsRight: false, today: TODAY, ...more });
const statusOf = async (order: string) =>
  (await db('order_lines').where('code', order).first('status')).status;
const roll = (code: string) => db('rolls').where({ code }).first();
const inside = (sscc: string) =>
  db('package_rolls').where('package', sscc).whereNull('taken_out').orderBy('roll').pluck('roll');

describe('packing', () => {
  it('begins a package with a serial shipping container code of its own', async () => {
    const [one, two] = [await pack(['F1', 'F2']), await pack(['F3'])];
    expect(one).toMatch(/^19521234\d{10}$/);
    expect(Number(one.at(-1))).toBe(gs1CheckDigit(one.slice(0, -1)));
    expect(two).not.toBe(one);
    expect(await inside(one)).toEqual(['F1', 'F2']);
  });

  it('puts rolls of two orders of one customer into one package, but none of another customer', async () => {
    const sscc = await pack(['F1']);
    expect(await pack(['S1'], { order: 'T2', into: sscc })).toBe(sscc);
    expect(await inside(sscc)).toEqual(['F1', 'S1']);
    await expect(pack(['O1'], { order: 'T3', into: sscc })).rejects.toThrow(/is for .*, order T3 is not/);
  });

  it('takes no more rolls than the order may get', async () => {
    await pack(codes('F', 1, 11));
    await expect(pack(['F12'])).rejects.toThrow(
      'takes at most 11 rolls; 11 are sent or packed, so 0 more may be packed',
    );
    expect(await db('package_rolls').count({ n: '*' })).toEqual([{ n: 11 }]);
  });

  it('lets one of two people have a roll, and tells the other who was first', async () => {
    const tries = await Promise.allSettled([
      pack(['F1', 'F2'], { by: 'Pia' }),
      pack(['F2', 'F3'], { by: 'Ulf' }),
    ]);
    const lost = tries.find((one) => one.status === 'rejected') as PromiseRejectedResult;
    expect(tries.filter((one) => one.status === 'fulfilled')).toHaveLength(1);
    expect(lost.reason.message).toMatch(/Roll F2 is in package \d{18} already: (Pia|Ulf) packed it/);
    expect(await db('packages').count({ n: '*' })).toEqual([{ n: 1 }]);
    expect(await db('package_rolls').count({ n: '*' })).toEqual([{ n: 2 }]);
  });

  it('packs once what is sent twice, at once or later', async () => {
    const form = { requestKey: 'form-0001' };
    const both = await Promise.all([pack(['F1'], form), pack(['F1'], form)]);
    expect(both[0]).toBe(both[1]);
    expect(await pack(['F1'], form)).toBe(both[0]);
    expect(await inside(both[0] as string)).toEqual(['F1']);
  });

  it('gives a roll of the shelf that fits to the order', async () => {
    const sscc = await pack(['X1']);
    expect((await roll('X1')).order_line).toBe('T10');
    expect(await inside(sscc)).toEqual(['X1']);
  });

  it.each([
    ['nothing', [], /No roll is chosen/],
    ['a roll that does not exist', ['F99'], /There is no roll F99/],
    ['a roll of another order', ['S1'], /it is for order T2/],
    ['a roll that is not finished', ['parent'], /may not be sent .*: it is a coated roll/],
  ])('refuses %s', async (_what, rolls, words) => {
    const { code } = await db('movements').where('roll', 'F1').first({ code: 'made_of' });
    await expect(pack(rolls.map((one) => (one === 'parent' ? code : one)))).rejects.toThrow(words);
    expect(await db('packages').count({ n: '*' })).toEqual([{ n: 0 }]);
  });

  it('refuses a roll past its use-by day, and one for an order that does not exist', async () => {
    await db('rolls').where('code', 'F1').update({ use_by: '2027-02-28' });
    await expect(pack(['F1'])).rejects.toThrow(/use-by day 2027-02-28 is past/);
    await expect(pack(['F2'], { order: 'nowhere' })).rejects.toThrow(/There is no order line nowhere/);
  });
});

describe('taking out again', () => {
  it('undoes a package; its rolls can be packed anew', async () => {
    const sscc = await pack(['F1', 'F2']);
    await unpackRolls(db, { by: 'Pia', sscc });
    expect(await db('packages').where({ sscc }).first('status')).toEqual({ status: 'undone' });
    const next = await pack(['F1', 'F2']);
    expect(next).not.toBe(sscc);
  });

  it('takes one roll out and leaves the rest; the last one out undoes the package', async () => {
    const sscc = await pack(['F1', 'F2']);
    await unpackRolls(db, { by: 'Pia', sscc, rolls: ['F1'] });
    expect(await inside(sscc)).toEqual(['F2']);
    await expect(unpackRolls(db, { by: 'Pia', sscc, rolls: ['F1'] })).rejects.toThrow(/F1 is not in package/);
    await unpackRolls(db, { by: 'Pia', sscc, rolls: ['F2'] });
    await expect(pack(['F3'], { into: sscc })).rejects.toThrow(/is undone already/);
  });

  it('is refused after dispatch', async () => {
    const sscc = await pack(codes('F', 1, 10));
    await send([sscc]);
    await expect(unpackRolls(db, { by: 'Pia', sscc })).rejects.toThrow(
      /dispatched already.*entered as a return/,
    );
  });
});

describe('dispatch', () => {
  it('takes length and mass out of the house and settles the order', async () => {
    await db('rolls').where('code', 'F12').update({ order_line: null });
    const sscc = await pack(codes('F', 1, 11));
    expect(await statusOf('T10')).toBe('made');
    expect(await send([sscc])).toMatchObject({ ok: true, repeated: false });
    expect(await roll('F1')).toMatchObject({ length_mm: 0, mass_kg: 0, status: 'dispatched' });
    expect(
      await db('movements').where({ roll: 'F2', cause: 'dispatched' }).first('side', 'length_mm', 'mass_mg'),
    ).toEqual({
      side: 'out',
      length_mm: -300_000,
      mass_mg: -150_001,
    });
    expect(await statusOf('T10')).toBe('done');
  });

  it('asks before an order gets fewer rolls than its least, and keeps nothing until it is answered', async () => {
    const sscc = await pack(codes('F', 1, 8));
    const before = await db('entries').count({ n: '*' });
    expect(await send([sscc])).toEqual({ ok: false, faults: [{ order: 'T10', least: 9, sent: 8 }] });
    expect(await db('entries').count({ n: '*' })).toEqual(before);
    expect(await roll('F1')).toMatchObject({ status: 'released', length_mm: 300_000 });
    expect(await send([sscc], { shortIsRight: true })).toMatchObject({ ok: true });
    expect(await statusOf('T10')).toBe('made');
  });

  it('leaves an order unsettled while more of it is in the house', async () => {
    await send([await pack(codes('F', 1, 10))]);
    expect(await statusOf('T10')).toBe('made');
    await db('rolls').where('code', 'F12').update({ order_line: null });
    await send([await pack(['F11'])]);
    expect(await statusOf('T10')).toBe('done');
  });

  it('sends once what is sent twice, at once or later', async () => {
    const sscc = await pack(codes('F', 1, 10));
    const form = { requestKey: 'form-0002' };
    const both = await Promise.all([send([sscc], form), send([sscc], form)]);
    expect(both.map((one) => one.ok)).toEqual([true, true]);
    expect(await send([sscc], form)).toMatchObject({ ok: true, repeated: true });
    expect(await db('movements').where({ roll: 'F1', cause: 'dispatched' })).toHaveLength(1);
  });

  it('lets one of two people send a package', async () => {
    const sscc = await pack(codes('F', 1, 10));
    const tries = await Promise.allSettled([send([sscc]), send([sscc])]);
    expect(tries.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    expect(await db('movements').where({ roll: 'F1', cause: 'dispatched' })).toHaveLength(1);
  });

  it('refuses a package that does not exist, or is undone', async () => {
    await expect(send(['000000000000000000'])).rejects.toThrow(/There is no package/);
    const sscc = await pack(['F1']);
    await unpackRolls(db, { by: 'Pia', sscc });
    await expect(send([sscc])).rejects.toThrow(/undone already/);
  });
});

describe('a return', () => {
  it('brings the roll back on hold with what it had, and opens the order again when too little is left', async () => {
    await db('rolls').where('code', 'like', 'F1_').update({ order_line: null });
    await send([await pack(codes('F', 1, 9))]);
    expect(await statusOf('T10')).toBe('done');
    await returnRoll(db, { by: 'Pia', roll: 'F3', reason: 'telescoped', requestKey: 'form-0003' });
    await returnRoll(db, { by: 'Pia', roll: 'F3', reason: 'telescoped', requestKey: 'form-0003' });
    expect(await roll('F3')).toMatchObject({ length_mm: 300_000, mass_kg: 0.150002, status: 'on hold' });
    expect(await statusOf('T10')).toBe('open');
    const entry = await db('entries').where('kind', 'returned').first('by_whom', 'reason');
    expect(entry).toEqual({ by_whom: 'Pia', reason: 'telescoped' });
  });

  it('is refused for a roll that never left, and the second time', async () => {
    await expect(returnRoll(db, { by: 'Pia', roll: 'F1', reason: 'x' })).rejects.toThrow(
      /F1 is released, so it cannot/,
    );
    await send([await pack(codes('F', 1, 10))]);
    await returnRoll(db, { by: 'Pia', roll: 'F1', reason: 'x' });
    await expect(returnRoll(db, { by: 'Pia', roll: 'F1', reason: 'x' })).rejects.toThrow(/F1 is on hold/);
  });

  it('lets the roll be sent again after it was released, and the audit finds no fault in all of it', async () => {
    await send([await pack(codes('F', 1, 10))]);
    await returnRoll(db, { by: 'Pia', roll: 'F1', reason: 'damaged box' });
    const { openEntry, bookStatus } = await import('../../src/store/ledger.ts');
    await db.transaction(async (trx) => {
      const { id } = await openEntry(trx, { kind: 'status', by: 'Pia', reason: 'looked at' });
      await bookStatus(trx, id, ['F1'], 'released');
    });
    await send([await pack(['F1'])]);
    expect(await roll('F1')).toMatchObject({ status: 'dispatched', length_mm: 0 });
    expect((await auditStock(db, 5)).rules.filter(({ total }) => total > 0)).toEqual([]);
  });
});
