// Corrections of what was received and coated: new entries with a reason, balanced, refused once metres were used.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { RESOURCES } from '../../src/domain/resources.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { readYield } from '../../src/usecases/afterwards/readYield.ts';
import { newestCoatings, openCoating } from '../../src/usecases/coating/readCoatings.ts';
import { recordCoating } from '../../src/usecases/coating/recordCoating.ts';
import { undoCoating } from '../../src/usecases/coating/undoCoating.ts';
import { correctReceived } from '../../src/usecases/receiving/correctReceived.ts';
import { openReceipt } from '../../src/usecases/receiving/readReceipts.ts';
import { receiveRolls } from '../../src/usecases/receiving/receiveRolls.ts';
import { decideOnRoll } from '../../src/usecases/rolls/decideOnRoll.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { getRow } from '../../src/usecases/tables/listRows.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let number = 0;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});

const act = () => ({ by: 'Rita', requestKey: `take-back-key-${++number}` });
const sound = async () => (await auditStock(db, 3)).rules.flatMap(({ faults }) => faults);
const rollNow = async (code: string) => (await getRow(db, RESOURCES.rolls, code)) as Record<string, unknown>;

/** A roll of BF-01, 1050 mm x 6000 m, 39.55 kg, at 9.80 a kg; released when asked. */
async function received(released = false): Promise<{ roll: string; entry: number }> {
  const head = {
    supplier: 'S1',
    item: 'BF-01',
    widthUm: '1050',
    lengthMm: '6000',
    lot: 'L-1',
    receivedOn: TODAY,
    tolerancePct: '2',
    numbers: 'our next numbers',
    pricePerKg: '10',
  };
  const list = `roll;mass (kg);roll map\nK-${++number};39.55;"500-600 m, 0-20 mm, streak"\n`;
  const sent = await receiveRolls(db, { head, list }, { ...act(), mode: 'all', confirmed: [] });
  if (!sent.ok) throw new Error(JSON.stringify(sent.faults));
  const roll = String((await openReceipt(db, String(sent.entry))).rolls[0]?.roll);
  if (released)
    await decideOnRoll(db, { roll, decision: 'release', typed: { reason: 'ok' }, today: TODAY, ...act() });
  return { roll, entry: sent.entry };
}

async function coated(rolls: string[], takenMm = ''): Promise<{ entry: number; jumbos: string[] }> {
  const head = { product: 'CP-10', coatedOn: TODAY, lot: 'INK-1', status: 'in quarantine', startUpMm: '100' };
  const bases = rolls.map((roll) => ({ roll, takenMm }));
  const sent = await recordCoating(db, { head, bases, losses: [], jumbos: [] }, { ...act(), today: TODAY });
  if (!sent.ok) throw new Error(JSON.stringify(sent.faults));
  const run = await openCoating(db, String(sent.entry));
  return { entry: sent.entry, jumbos: run.movements.filter(({ madeOf }) => madeOf).map(({ roll }) => roll) };
}

describe('correcting a receipt', () => {
  const right = (roll: string, typed: Record<string, string>, confirmed = false) =>
    correctReceived(db, roll, { ...act(), reason: 'label read again', typed, confirmed });

  it('books the difference, keeps what stood there, and moves map and worth with it', async () => {
    const { roll, entry } = await received();
    const done = await right(roll, { lengthMm: '5500', massKg: '36.25', lot: 'L-2' });
    if (!done.ok) throw new Error(JSON.stringify(done.faults));
    expect(await rollNow(roll)).toMatchObject({
      lengthMm: 5_500_000,
      massKg: 36.25,
      lot: 'L-2',
      widthUm: 1_050_000,
    });
    expect((await rollNow(roll)).costPerRoll).toBeCloseTo(362.5, 2);
    const [kept] = await db('entries').where('id', done.entry);
    expect(kept).toMatchObject({ kind: 'corrected', reason: 'label read again', corrects: entry });
    expect(kept.details.was).toEqual({ lengthMm: 6_000_000, massKg: 39.55, widthUm: 1_050_000, lot: 'L-1' });
    expect((await openReceipt(db, String(entry))).rolls[0]).toMatchObject({
      lengthMm: 5_500_000,
      massKg: 36.25,
    });
    expect(await sound()).toEqual([]);
  });

  it('cuts the map to a shorter or narrower roll', async () => {
    const { roll } = await received();
    await right(roll, { lengthMm: '550', widthUm: '15' }, true);
    expect((await rollNow(roll)).rollMap).toMatchObject([
      { fromMm: 500_000, toMm: null, fromUm: 0, toUm: null },
    ]);
  });

  it('asks to measure again where length and mass disagree, and takes it when that is ticked', async () => {
    const { roll } = await received();
    const asked = await right(roll, { lengthMm: '7000' });
    expect(asked.ok ? [] : asked.faults.map(({ wrong }) => wrong)).toEqual([
      expect.stringMatching(/^its mass stands for 6,000 m, 14\.3 % less/),
    ]);
    expect((await right(roll, { lengthMm: '7000' }, true)).ok).toBe(true);
  });

  it('is refused once something was taken, and for a roll that was never received', async () => {
    const { roll } = await received(true);
    await coated([roll], '1000');
    const entries = await db('entries').count();
    await expect(right(roll, { lengthMm: '6100' })).rejects.toMatchObject({ code: 'used-since' });
    await expect(right('R7001', { lengthMm: '6100' })).rejects.toMatchObject({ code: 'roll-not-received' });
    await expect(right('nobody', { lengthMm: '6100' })).rejects.toMatchObject({ code: 'not-found' });
    expect(await db('entries').count()).toEqual(entries);
  });

  it('is done once, sent twice at once', async () => {
    const { roll } = await received();
    const asked = { ...act(), reason: 'twice', typed: { lengthMm: '6010' }, confirmed: false };
    const both = await Promise.all([correctReceived(db, roll, asked), correctReceived(db, roll, asked)]);
    expect(both.every(({ ok }) => ok)).toBe(true);
    expect((await rollNow(roll)).lengthMm).toBe(6_010_000);
  });
});

describe('taking a coating record back', () => {
  it('gives the base rolls their metres, mass, map, worth and place back, and voids the coated rolls', async () => {
    const films = [await received(true), await received(true)].map(({ roll }) => roll);
    const before = await Promise.all(films.map(rollNow));
    const weekBefore = await readYield(db, { from: '2000-01-01', until: '2100-01-01' });
    const { entry, jumbos } = await coated(films);
    expect(await rollNow(films[0] as string)).toMatchObject({ status: 'used up', lengthMm: 0, rollMap: [] });
    await undoCoating(db, entry, { ...act(), reason: 'wrong rolls named' });
    expect(await Promise.all(films.map(rollNow))).toEqual(before);
    for (const jumbo of jumbos)
      expect(await rollNow(jumbo)).toMatchObject({ status: 'used up', lengthMm: 0, massKg: 0, rollMap: [] });
    expect(await readYield(db, { from: '2000-01-01', until: '2100-01-01' })).toEqual(weekBefore);
    expect((await openCoating(db, String(entry))).undone).toEqual({
      by: 'Rita',
      reason: 'wrong rolls named',
    });
    expect((await newestCoatings(db))[0]).toMatchObject({ entry, takenBack: true });
    expect(await sound()).toEqual([]);
    await coated(films);
    expect(await sound()).toEqual([]);
  });

  it('is refused once one of its rolls was used, and twice; the latest is taken back first', async () => {
    const { roll } = await received(true);
    const first = await coated([roll], '1000');
    const second = await coated([roll], '1000');
    const undo = (entry: number) => undoCoating(db, entry, { ...act(), reason: 'wrong' });
    await expect(undo(first.entry)).rejects.toMatchObject({ code: 'used-since' });
    await undo(second.entry);
    await expect(undo(second.entry)).rejects.toMatchObject({ code: 'coating-undone' });
    await undo(first.entry);
    expect((await rollNow(roll)).lengthMm).toBe(6_000_000);
    await expect(undo(999_999)).rejects.toMatchObject({ code: 'not-found' });
  });
});
