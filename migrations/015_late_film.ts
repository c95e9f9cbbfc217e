// Plans that were asked for because film comes late: once for each cause (which lines of a purchase order, since which day), with
// the promises that held then.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    create table late_replans (
      id integer generated always as identity primary key,
      purchase_order text not null references purchase_orders on update cascade on delete cascade,
      cause text not null,
      asked_on date not null,
      plan integer references plans on delete set null,
      -- why it could not be planned, in words
      trouble text,
      -- [{ order, customer, promisedOn }] of all orders that are planned again
      promised json not null,
      unique (purchase_order, cause)
    );
    create index late_replans_plan on late_replans (plan);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('drop table late_replans');
}
