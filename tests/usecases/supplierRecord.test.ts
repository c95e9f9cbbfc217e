// The record of a supplier after film of his was coated and slit: bad places of film that is used up are counted with the metres
// in which they came, also when a coating record was taken back; each lot has its yield at the coater and at the slitters.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { readSupplierRecord } from '../../src/usecases/buying/readSupplierRecord.ts';
import { recordCoating } from '../../src/usecases/coating/recordCoating.ts';
import { undoCoating } from '../../src/usecases/coating/undoCoating.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { seedPast } from '../../src/usecases/seedPast.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const S1 = { code: 'S1', name: '' };
let db: Knex;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  await seedPast(db, TODAY, '9521234');
  S1.name = (await db('suppliers').where({ code: 'S1' }).first()).name;
}, 60_000);

describe('the yield of a lot', () => {
  it('is what was coated of the film that went into the coater, and what became good rolls at the slitters', async () => {
    const { lots } = await readSupplierRecord(db, S1);
    const lot = lots.find((one) => one.lot === 'OV-2207');
    // two rolls of 1,050 mm x 2,000 m
    expect(lot?.coaterInM2).toBeCloseTo(2 * 1.05 * 2000, 6);
    // each lost its start-up, 120 m: default of the demo
    expect(lot?.coaterShare).toBeCloseTo((2000 - 120) / 2000, 6);
    expect(lot?.slitterShare).toBeGreaterThan(0.8);
    expect(lot?.slitterShare).toBeLessThan(1);
  });
});

describe('joins and bad places per 1,000 m', () => {
  const ofGrade = async (grade: string) =>
    (await readSupplierRecord(db, S1)).badPlaces.find((one) => one.grade === grade);
  it('keep what lay on film that was coated since, once, and the metres that came', async () => {
    const roll = await db('rolls')
      .where({ supplier: 'S1', kind: 'base', status: 'released' })
      .where('grade', 'BF-01')
      .first();
    const before = await ofGrade('BF-01');
    const place = (position: number, from: number, kind: string) => ({
      ...{ roll: roll.code, position, from_mm: from, to_mm: from + 1000, from_um: 0, to_um: 1_050_000, kind },
    });
    // one that is coated, one across the end of what is coated, one beyond, and a join that is coated
    await db('roll_defects').where({ roll: roll.code }).delete();
    await db('roll_defects').insert([
      place(0, 100_000, 'streak'),
      place(1, 999_500, 'gel'),
      place(2, 1_500_000, 'gel'),
      place(3, 300_000, 'join'),
    ]);
    const marked = await ofGrade('BF-01');
    expect(marked).toEqual({ ...before, others: (before?.others ?? 0) + 3, joins: (before?.joins ?? 0) + 1 });
    const typed = {
      head: { product: 'CP-10', coatedOn: TODAY, lot: 'C-9', status: 'in quarantine' },
      bases: [{ roll: roll.code, takenMm: '1000' }],
      losses: [],
      jumbos: [{ code: '', madeMm: '', massKg: '' }],
    };
    const done = await recordCoating(db, typed, {
      by: 'Coater',
      requestKey: 'record-coated-1',
      today: TODAY,
    });
    if (!done.ok) throw new Error(JSON.stringify(done.faults));
    expect(await db('roll_defects').where({ roll: roll.code }).pluck('kind')).not.toContain('streak');
    expect(await ofGrade('BF-01')).toEqual(marked);
    await undoCoating(db, done.entry, { by: 'Coater', requestKey: 'record-undone-1', reason: 'wrong roll' });
    expect(await ofGrade('BF-01')).toEqual(marked);
  });
});
