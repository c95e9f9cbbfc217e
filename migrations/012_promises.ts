// Answers to customers' questions with the frozen state that they were computed on; promises made of them, as orders or
// as quotes held for a time; and what each promise reserves. A quote is an order line with the status `quoted`: it counts
// as an open order until it lapses. Lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table order_lines drop constraint order_lines_status_check;
    alter table order_lines add constraint order_lines_status_check
      check (status in ('quoted', 'open', 'planned', 'made', 'done', 'cancelled'));

    -- What a question is answered from, frozen under its hash, and the plan that the existing orders keep in it.
    create table sales_states (
      state text primary key,
      product text not null references products on update cascade on delete cascade,
      document json not null,
      kept json,
      at timestamptz not null default now()
    );
    create index sales_states_at on sales_states (at);

    create table answers (
      id integer generated always as identity primary key,
      at timestamptz not null default now(),
      state text not null references sales_states on delete cascade,
      question text not null,
      answer json not null,
      quote json,
      refined boolean not null default false,
      unique (state, question)
    );

    create table promises (
      id integer generated always as identity primary key,
      order_line text not null unique references order_lines on update cascade,
      kind text not null check (kind in ('order', 'quote')),
      by_whom text not null check (by_whom <> ''),
      at timestamptz not null default now(),
      request_key text not null,
      state text not null,
      question text not null,
      rolls integer not null check (rolls > 0),
      promised_on date,
      -- A quote is held until then.
      until timestamptz,
      ended text check (ended in ('withdrawn', 'lapsed')),
      ended_at timestamptz,
      constraint promises_quote_has_end check ((kind = 'quote') = (until is not null)),
      constraint promises_ended_at check ((ended is null) = (ended_at is null))
    );
    create index promises_request_key on promises (request_key);
    create index promises_until on promises (until) where until is not null and ended is null;

    create table promised_rolls (
      promise integer not null references promises on delete cascade,
      roll text not null references rolls on update cascade,
      length_mm bigint not null check (length_mm > 0),
      primary key (promise, roll)
    );
    create index promised_rolls_roll on promised_rolls (roll);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop table promised_rolls, promises, answers, sales_states;
    update order_lines set status = 'cancelled' where status = 'quoted';
    alter table order_lines drop constraint order_lines_status_check;
    alter table order_lines add constraint order_lines_status_check
      check (status in ('open', 'planned', 'made', 'done', 'cancelled'));
  `);
}
