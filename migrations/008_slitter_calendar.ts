// When a slitter works: minutes on each open day (empty: round the clock), and the days on which it is closed.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table slitters
      add column minutes_per_day numeric check (minutes_per_day > 0 and minutes_per_day <= 1440),
      add column closed_on date[];
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('alter table slitters drop column minutes_per_day, drop column closed_on');
}
