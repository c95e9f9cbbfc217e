// When a slitter works: from the form to the row, out to a file and in again unchanged, and into the problem.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { applyImport } from '../../src/usecases/tables/importRows.ts';
import { getRow } from '../../src/usecases/tables/listRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const { slitters } = RESOURCES;

describe('the calendar of a slitter', () => {
  let db: Knex;
  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, TODAY);
  });
  const save = async (more: Record<string, string>) =>
    saveRow(db, slitters, { code: 'SL-2', ...more }, { code: 'SL-2' });
  const inProblem = async () =>
    (await buildProblem(db, { products: ['CP-80'], planOn: TODAY })).slitters.find(({ id }) => id === 'SL-2');

  it('is round the clock until somebody says otherwise', async () => {
    expect(await inProblem()).not.toHaveProperty('calendar');
  });

  it('is typed as minutes and days, in any order, and kept sorted', async () => {
    expect(await save({ minutesPerDay: '960', closedOn: '2027-03-07; 6.3.2027 2027-03-07' })).toMatchObject({
      ok: true,
    });
    expect(await getRow(db, slitters, 'SL-2')).toMatchObject({
      minutesPerDay: 960,
      closedOn: ['2027-03-06', '2027-03-07'],
    });
  });

  it('comes along in the problem, which is still faultless', async () => {
    expect((await inProblem())?.calendar).toEqual({
      minutesPerDay: 960,
      closedOn: ['2027-03-06', '2027-03-07'],
    });
    expect(parseProblem(await buildProblem(db, { products: ['CP-80'], planOn: TODAY })).ok).toBe(true);
  });

  it('is read from a file', async () => {
    const file = 'Slitter;Works each day (min);Closed on\nSL-2;480;2027-04-02 2027-04-05\n';
    const done = await applyImport(db, slitters, Buffer.from(file), { mode: 'all-or-nothing' });
    expect(done).toMatchObject({ changed: 1 });
    expect((await getRow(db, slitters, 'SL-2'))?.closedOn).toEqual(['2027-04-02', '2027-04-05']);
  });

  it('is taken away when both are emptied', async () => {
    expect(await save({ minutesPerDay: '', closedOn: '' })).toMatchObject({ ok: true });
    expect(await inProblem()).not.toHaveProperty('calendar');
  });

  it.each([
    [{ minutesPerDay: '1441' }, 'minutesPerDay'],
    [{ minutesPerDay: '0' }, 'minutesPerDay'],
    [{ closedOn: '2027-02-30' }, 'closedOn'],
    [{ closedOn: '2027-03-06 soon' }, 'closedOn'],
  ])('%j is refused', async (typed, field) => {
    const saved = await save(typed as Record<string, string>);
    expect(saved.ok ? [] : saved.faults.map((fault) => fault.field)).toEqual([field]);
  });
});
