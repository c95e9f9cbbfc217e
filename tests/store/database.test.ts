// What the database itself guarantees: numbers as numbers, migrations that can be repeated and raced, and rules that
// hold even for a program that forgets to check.
import { randomBytes } from 'node:crypto';
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { connect } from '../../src/store/connect.ts';
import { bookWrittenRolls, openEntry } from '../../src/store/ledger.ts';
import { migrate } from '../../src/store/migrate.ts';
import { databaseServer, freshDatabase } from '../support/database.ts';

describe(`the ${databaseServer().name} database`, () => {
  let db: Knex;
  beforeAll(async () => {
    db = await freshDatabase();
    await db('products').insert({ code: 'P', name: 'a product' });
    await db('grades').insert({ code: 'G', polymer: 'PET', thickness_um: 4.5, density_g_per_cm3: 1.395 });
    await db('customers').insert({ code: 'C', name: 'a customer' });
  });

  it('gives lengths, prices and days back as they were put in', async () => {
    const longest = Number.MAX_SAFE_INTEGER;
    await db.transaction(async (trx) => {
      await trx('rolls').insert({
        code: 'R',
        kind: 'base',
        item: 'G',
        width_um: 1_050_000,
        length_mm: longest,
        mass_kg: 0.1,
        use_by: '2027-03-28',
      });
      const { id } = await openEntry(trx, { kind: 'entered', by: 'test' });
      await bookWrittenRolls(trx, id, ['R']);
    });
    expect(
      await db('rolls').first('length_mm', 'mass_kg', 'use_by', 'grade', 'product').where('code', 'R'),
    ).toEqual({
      length_mm: longest,
      mass_kg: 0.1,
      use_by: '2027-03-28',
      grade: 'G',
      product: null,
    });
  });

  it.each([
    [
      'an item of the wrong kind',
      'rolls',
      { code: 'X', kind: 'coated', item: 'G', width_um: 1, length_mm: 1 },
      /foreign key/,
    ],
    [
      'a roll of less than no length',
      'rolls',
      { code: 'X', kind: 'base', item: 'G', width_um: 1, length_mm: -1 },
      /check constraint/,
    ],
    [
      'an unknown status',
      'rolls',
      { code: 'X', kind: 'base', item: 'G', width_um: 1, length_mm: 1, status: 'lost' },
      /check constraint/,
    ],
    ['a code that differs in case only', 'customers', { code: 'c', name: 'the same' }, /unique/],
    [
      'an order of no rolls',
      'order_lines',
      { code: 'O', customer: 'C', product: 'P', width_um: 1, length_mm: 1, rolls: 0 },
      /check constraint/,
    ],
    [
      'a done plan without a plan',
      'plans',
      { title: 't', problem: '{}', status: 'done' },
      /plans_done_has_plan/,
    ],
    [
      'an offer of no width',
      'offers',
      { code: 'F', supplier: 'S', grade: 'G', roll_length_mm: 1, price_per_kg: 1, lead_time_days: 1 },
      /one_width_or_range/,
    ],
  ])('refuses %s', async (_title, table, row, words) => {
    await expect(db(table).insert(row)).rejects.toThrow(words);
  });

  it('is brought to the newest form by several programs at once, and again', async () => {
    const name = `lanewright_test_${randomBytes(6).toString('hex')}`;
    await db.raw('create database ??', [name]);
    const programs = [1, 2, 3].map(() => connect({ ...databaseServer().connection, database: name }, 2));
    try {
      await Promise.all(programs.map(migrate));
      await migrate(programs[0] as Knex);
      expect(await programs[0]?.('knex_migrations').pluck('name')).toEqual(
        await db('knex_migrations').pluck('name'),
      );
    } finally {
      await Promise.all(programs.map((program) => program.destroy()));
      await db.raw('drop database ??', [name]);
    }
  });
});
