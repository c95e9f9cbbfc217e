// Catalogue widths from the table to the problem: only those in use, only of the products planned, only when asked for.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { RESOURCES } from '../../src/domain/resources.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { buildProblem } from '../../src/usecases/planning/buildProblem.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';

const TODAY = '2027-03-01' as IsoDate;
const typed = { product: 'CP-20', widthUm: '33,5', lengthMm: '600', valuePerRoll: '2,25', maxRolls: '7' };

describe('catalogue widths', () => {
  let db: Knex;
  beforeAll(async () => {
    db = await freshDatabase();
    await seedDemo(db, TODAY);
  });
  const problemOf = (fill: boolean) => buildProblem(db, { products: ['CP-20'], planOn: TODAY, fill });

  it('stay out of a problem that does not ask for them', async () => {
    expect(await problemOf(false)).not.toHaveProperty('fillers');
  });

  it('of the demo plant are its standard widths and lengths, each at a value below its film', async () => {
    const problem = await problemOf(true);
    const { fillers } = problem;
    expect(new Set(fillers!.map((filler) => filler.product))).toEqual(new Set(['CP-20']));
    expect(fillers!.length).toBeGreaterThan(3);
    expect(fillers!.every((filler) => filler.valuePerRoll! > 0)).toBe(true);
    expect(parseProblem(problem).ok).toBe(true);
  });

  it('that are typed in come along in decimal mm and m until they are taken out of use', async () => {
    const own = async () => (await problemOf(true)).fillers!.filter((filler) => filler.widthMm === 33.5);
    expect(await saveRow(db, RESOURCES.fillers, { code: 'T-F', ...typed }, {})).toMatchObject({ ok: true });
    expect(await own()).toEqual([
      { product: 'CP-20', widthMm: 33.5, lengthM: 600, valuePerRoll: 2.25, maxRolls: 7 },
    ]);
    const taken = { code: 'T-F', ...typed, active: 'no' };
    expect(await saveRow(db, RESOURCES.fillers, taken, { code: 'T-F' })).toMatchObject({ ok: true });
    expect(await own()).toEqual([]);
  });

  it('need a product, a width, a length, a value and a number', async () => {
    const saved = await saveRow(db, RESOURCES.fillers, { code: 'T-G' }, {});
    expect(saved.ok ? [] : saved.faults.map(({ field }) => field)).toEqual([
      'product',
      'widthUm',
      'lengthMm',
      'valuePerRoll',
      'maxRolls',
    ]);
  });
});
