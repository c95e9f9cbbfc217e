// What is decided on rolls and known of them: concessions, changes of roll maps, coating. A concession moves a roll's
// use-by day to the day until which it is given, and taking it back restores the day before: so whoever asks whether a
// roll may still be used asks one column. Widths whole um, lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(CONCESSIONS);
  await knex.raw(MAPS);
  await knex.raw(COATING);
}

const CONCESSIONS = `
  create table concessions (
    entry bigint primary key references entries,
    roll text not null references rolls,
    approver text not null check (approver <> ''),
    until date not null,
    -- What was tested, where the use-by day was moved later.
    test text,
    use_by_before date,
    ended_by bigint references entries,
    constraint concessions_later_use_is_tested
      check (test is not null or use_by_before is null or until <= use_by_before)
  );
  create unique index concessions_one_a_roll on concessions (roll) where ended_by is null;
`;

const MAPS = `
  create table map_changes (
    entry bigint not null references entries,
    roll text not null references rolls,
    before jsonb not null,
    after jsonb not null,
    primary key (entry, roll)
  );
  create index map_changes_roll on map_changes (roll, entry);
  create trigger map_changes_for_good before update or delete on map_changes
    for each row execute function ledger_is_for_good();
  create trigger map_changes_for_good_all before truncate on map_changes
    for each statement execute function ledger_is_for_good();
`;

const COATING = `
  create sequence coated_roll_numbers;
  create table coating_runs (
    entry bigint primary key references entries,
    product text not null references products on update cascade,
    coated_on date not null,
    -- The lot of coating, with what was measured of it and the limits that were entered.
    lot text not null,
    viscosity numeric,
    viscosity_min numeric,
    viscosity_max numeric,
    viscosity_unit text,
    solids_pct numeric,
    solids_min_pct numeric,
    solids_max_pct numeric,
    within_limits boolean not null,
    dry_g_per_m2 numeric not null check (dry_g_per_m2 >= 0),
    coat_free_left_um integer not null check (coat_free_left_um >= 0),
    coat_free_right_um integer not null check (coat_free_right_um >= 0)
  );
  create index coating_runs_lot on coating_runs (lower(lot));
  create index coating_runs_product on coating_runs (product);
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop table coating_runs, map_changes, concessions;
    drop sequence coated_roll_numbers;
  `);
}
