// The ledger holds by the database itself, whatever a program tries.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { bookMovements, bookStatus, openEntry } from '../../src/store/ledger.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';

describe('the ledger', () => {
  let db: Knex;
  let roll: { code: string; length_mm: number; mass_kg: number };
  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, '2027-03-01' as IsoDate);
    roll = await db('rolls').where('kind', 'coated').where('status', 'released').orderBy('code').first();
  });

  const cut = (trx: Knex, entry: number, lengthMm: number) =>
    bookMovements(trx, entry, [
      { roll: roll.code, side: 'out', cause: 'cut', lengthMm: -lengthMm, massMg: -1000 },
    ]);

  it('opens with every roll of the demo at its length, mass and status', async () => {
    const [{ off }] = (
      await db.raw(`select count(*)::int as off from rolls r where
        length_mm <> (select sum(length_mm) from movements where roll = r.code) or
        mass_kg * 1000000 <> (select sum(mass_mg) from movements where roll = r.code) or
        status <> (select becomes from status_changes where roll = r.code order by id desc limit 1)`)
    ).rows;
    expect(off).toBe(0);
    expect(Number((await db('movements').count({ n: '*' }))[0]?.n)).toBeGreaterThan(10);
  });

  it('carries movements into the balance of the roll', async () => {
    await db.transaction(async (trx) => {
      const { id } = await openEntry(trx, { kind: 'cut', by: 'test' });
      await cut(trx, id, 1000);
    });
    const now = await db('rolls').where('code', roll.code).first();
    expect(Number(now.length_mm)).toBe(Number(roll.length_mm) - 1000);
    expect(Number(now.mass_kg)).toBeCloseTo(Number(roll.mass_kg) - 0.001, 9);
  });

  it.each(['entries', 'movements', 'status_changes'])('lets nobody change or delete %s', async (table) => {
    const column = table === 'entries' ? 'by_whom' : 'entry';
    await expect(db(table).update({ [column]: 1 })).rejects.toThrow(/ledger is for good/);
    await expect(db(table).delete()).rejects.toThrow(/ledger is for good/);
    await expect(db.raw('truncate ?? cascade', [table])).rejects.toThrow(/ledger is for good/);
  });

  it('refuses a length that was changed past it', async () => {
    await expect(db('rolls').where('code', roll.code).update({ length_mm: 5 })).rejects.toThrow(
      /holds 5 mm .* but its ledger says/,
    );
  });

  it('refuses a status that was changed past it', async () => {
    await expect(db('rolls').where('code', roll.code).update({ status: 'on hold' })).rejects.toThrow(
      /is on hold, but its ledger says released/,
    );
  });

  it('refuses to take more from a roll than it holds, and keeps nothing of it', async () => {
    const entries = async () => Number((await db('entries').count({ n: '*' }))[0]?.n);
    const before = await entries();
    const tooMuch = db.transaction(async (trx) => {
      const { id } = await openEntry(trx, { kind: 'cut', by: 'test' });
      await cut(trx, id, 1e9);
    });
    await expect(tooMuch).rejects.toThrow(/rolls_length_mm_check/);
    expect(await entries()).toBe(before);
  });

  it('enters one form once, however often and at whatever time it is sent', async () => {
    const send = () =>
      db.transaction(async (trx) => {
        const entry = await openEntry(trx, { kind: 'status', by: 'test', requestKey: 'form-1' });
        if (!entry.repeated) await bookStatus(trx, entry.id, [roll.code], 'on hold');
        return entry;
      });
    const answers = await Promise.all([send(), send(), send()]);
    expect(new Set(answers.map(({ id }) => id)).size).toBe(1);
    expect(answers.filter(({ repeated }) => !repeated)).toHaveLength(1);
    const changes = await db('status_changes').where({ roll: roll.code, becomes: 'on hold' });
    expect(changes).toHaveLength(1);
    expect(changes[0]).toMatchObject({ was: 'released' });
  });
});
