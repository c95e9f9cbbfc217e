// Catalogue widths: finished rolls that nobody has ordered but that may fill up a pattern, each at a value.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    create table fillers (
      code text primary key,
      product text not null references products,
      width_um integer not null check (width_um > 0),
      length_mm bigint not null check (length_mm > 0),
      value_per_roll numeric not null check (value_per_roll >= 0),
      max_rolls integer not null check (max_rolls >= 0),
      active boolean not null default true,
      note text
    );
    create unique index fillers_code_any_case on fillers (lower(code));
    create index fillers_product on fillers (product, code);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('drop table fillers');
}
