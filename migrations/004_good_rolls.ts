// Orders of which not every roll comes out good: the expected share of good ones and the wanted chance of enough of them.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table order_lines
      add column good_roll_pct numeric check (good_roll_pct between 1 and 100),
      add column complete_pct numeric check (complete_pct between 1 and 99.9999);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('alter table order_lines drop column good_roll_pct, drop column complete_pct');
}
