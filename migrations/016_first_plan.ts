// While a plan is being made, the first whole one, checked: what is taken when the search comes to a bad end.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw('alter table plans add column first_plan json');
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('alter table plans drop column first_plan');
}
