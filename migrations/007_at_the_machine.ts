// What is released to the slitters and what happened there. A release takes runs of a plan with their rolls; a roll is in
// one active release only, which the database itself holds. Recordings point to entries of the ledger and say which part
// of a roll each took, from its inner end, so that no metre can be cut twice. Lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(ORDERS);
  await knex.raw(RELEASES);
  await knex.raw(RECORDINGS);
  await knex.raw(PROGRESS);
}

/** `made`: enough good rolls, not yet dispatched. */
const ORDERS = `
  alter table order_lines drop constraint order_lines_status_check;
  alter table order_lines add constraint order_lines_status_check
    check (status in ('open', 'planned', 'made', 'done', 'cancelled'));
  create sequence finished_roll_numbers maxvalue 9999999;
`;

const RELEASES = `
  create table releases (
    id integer generated always as identity primary key,
    plan integer not null references plans,
    entry bigint not null unique references entries,
    by_whom text not null,
    at timestamptz not null default now(),
    status text not null default 'at the machine' check (status in ('at the machine', 'withdrawn', 'finished'))
  );
  create index releases_plan on releases (plan);
  create index releases_status on releases (status, id);

  -- One run of the plan, as it was planned; what is done of it grows beside.
  create table released_runs (
    release integer not null references releases,
    sequence integer not null,
    slitter text not null references slitters on update cascade,
    product text not null references products on update cascade,
    length_mm bigint not null check (length_mm > 0),
    sets_planned integer not null check (sets_planned > 0),
    sets_cut integer not null default 0 check (sets_cut >= 0),
    status text not null default 'waiting' check (status in ('waiting', 'being cut', 'done', 'withdrawn')),
    run json not null,
    primary key (release, sequence)
  );
  create index released_runs_slitter on released_runs (slitter, status);

  -- How many strips of a set are for an order.
  create table released_strips (
    release integer not null,
    sequence integer not null,
    order_line text not null references order_lines on update cascade,
    strips integer not null check (strips > 0),
    primary key (release, sequence, order_line),
    foreign key (release, sequence) references released_runs
  );
  create index released_strips_order on released_strips (order_line);

  -- length_mm: when it was released; metre counts at the machine begin at this outer end.
  create table released_rolls (
    release integer not null references releases,
    roll text not null references rolls,
    length_mm bigint not null check (length_mm > 0),
    active boolean not null default true,
    primary key (release, roll)
  );
  create unique index released_rolls_one_release on released_rolls (roll) where active;
`;

const RECORDINGS = `
  create table recordings (
    entry bigint primary key references entries,
    release integer not null references releases,
    -- Null at the end of a roll.
    sequence integer,
    roll text not null references rolls,
    what text not null check (what in ('set', 'lost set', 'end')),
    -- The stretch of the roll that it took: from here, counted from the inner end, so much towards the outer end.
    from_inner_mm bigint not null check (from_inner_mm >= 0),
    used_mm bigint not null,
    -- The roll's map, kind and status before it, so that it can be undone.
    before jsonb not null,
    undone_by bigint references entries,
    foreign key (release, sequence) references released_runs,
    constraint recordings_of_a_run check ((sequence is null) = (what = 'end'))
  );
  create index recordings_run on recordings (release, sequence);
  create index recordings_roll on recordings (roll, entry);
`;

/** Of each order: good rolls made, rolls that released runs have yet to make, and what both cover of it. */
const PROGRESS = `
  create view order_progress as
  select o.code as order_line, made.rolls as made, coming.rolls as coming,
    made.rolls + floor(coming.rolls * coalesce(o.good_roll_pct, 100) / 100)::int as covered
  from order_lines o
  cross join lateral (
    select count(*)::int as rolls from rolls r where r.order_line = o.code
      and (r.status = 'dispatched' or (r.status = 'released' and r.length_mm >= o.length_mm))) as made
  cross join lateral (
    select coalesce(sum(s.strips * greatest(0, n.sets_planned - n.sets_cut)), 0)::int as rolls
    from released_strips s join released_runs n using (release, sequence)
    where s.order_line = o.code and n.status in ('waiting', 'being cut')) as coming;
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop view order_progress;
    drop table recordings, released_rolls, released_strips, released_runs, releases;
    drop sequence finished_roll_numbers;
    update order_lines set status = 'open' where status = 'made';
    alter table order_lines drop constraint order_lines_status_check;
    alter table order_lines add constraint order_lines_status_check
      check (status in ('open', 'planned', 'done', 'cancelled'));
  `);
}
