// Plans: the frozen problem document beside the plan that came of it, so that a plan can be opened, compared and run
// again to the same result. Both documents are in the project's own file formats, kept as written (json, not jsonb:
// the order of their fields is part of what a reader sees).
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    create table plans (
      id integer generated always as identity primary key,
      created_at timestamptz not null default now(),
      title text not null,
      products text[] not null default '{}',
      problem json not null,
      plan json,
      status text not null default 'queued'
        check (status in ('queued', 'running', 'done', 'failed', 'cancelled')),
      progress jsonb,
      error text,
      seconds_limit numeric check (seconds_limit > 0),
      started_at timestamptz,
      finished_at timestamptz,
      parent_plan_id integer references plans on delete set null,
      constraint plans_done_has_plan check (status <> 'done' or plan is not null)
    );
    create index plans_status on plans (status, id);
    create index plans_parent on plans (parent_plan_id);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw('drop table plans');
}
