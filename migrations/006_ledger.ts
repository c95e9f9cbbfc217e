// The ledger: every change of a roll's length, mass or status is an entry with its lines, and no line is ever changed
// or deleted. A roll's row holds its balance; at the end of each transaction the database itself compares it with the
// sum of its movements and with its last status, so that nothing can change stock past the ledger.
// Lengths whole mm, masses whole mg (0 where the mass is not known).
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(ROLLS);
  await knex.raw(LEDGER);
  await knex.raw(FOR_GOOD);
  await knex.raw(OPENING);
  await knex.raw(BALANCED);
}

const ROLLS = `
  alter table rolls
    drop constraint rolls_kind_check,
    drop constraint rolls_length_mm_check,
    drop constraint rolls_mass_kg_check,
    drop constraint rolls_status_check;
  alter table rolls
    alter column mass_kg type numeric(14, 6),
    add constraint rolls_kind_check check (kind in ('coated', 'base', 'stub', 'finished')),
    add constraint rolls_length_mm_check check (length_mm >= 0),
    add constraint rolls_mass_kg_check check (mass_kg >= 0),
    add constraint rolls_status_check
      check (status in ('in quarantine', 'released', 'on hold', 'used up', 'dispatched')),
    add column supplier text references suppliers on update cascade,
    add column order_line text references order_lines on update cascade,
    add column splices integer not null default 0 check (splices >= 0),
    add constraint rolls_order_of_finished check (order_line is null or kind = 'finished');
  create index rolls_lot on rolls (lower(lot));
  create index rolls_supplier on rolls (supplier);
  create index rolls_order_line on rolls (order_line) where order_line is not null;
`;

const LEDGER = `
  create table entries (
    id bigint generated always as identity primary key,
    kind text not null,
    at timestamptz not null default now(),
    by_whom text not null check (by_whom <> ''),
    reason text,
    -- One submit of one form, however often it is sent.
    request_key text unique,
    corrects bigint references entries,
    details jsonb not null default '{}'
  );
  create index entries_kind on entries (kind, id);
  create index entries_corrects on entries (corrects) where corrects is not null;

  -- Signed: what comes in is positive, what goes out or is lost is negative; a correction has the other sign.
  create table movements (
    id bigint generated always as identity primary key,
    entry bigint not null references entries,
    roll text not null references rolls,
    side text not null check (side in ('in', 'out', 'loss')),
    cause text not null,
    length_mm bigint not null,
    mass_mg bigint not null default 0,
    -- For what is made: the roll it was made of.
    made_of text references rolls,
    constraint movements_move_something check (length_mm <> 0 or mass_mg <> 0)
  );
  create index movements_entry on movements (entry);
  create index movements_roll on movements (roll, id);
  create index movements_made_of on movements (made_of, roll) where made_of is not null;

  create table status_changes (
    id bigint generated always as identity primary key,
    entry bigint not null references entries,
    roll text not null references rolls,
    was text,
    becomes text not null
  );
  create index status_changes_roll on status_changes (roll, id);
  create index status_changes_entry on status_changes (entry);
`;

const FOR_GOOD = `
  create function ledger_is_for_good() returns trigger language plpgsql as $$
  begin
    raise exception '% of % is not allowed: the ledger is for good, corrections are new entries', tg_op, tg_table_name
      using errcode = 'LW001';
  end $$;
  ${['entries', 'movements', 'status_changes']
    .map(
      (table) => `
  create trigger ${table}_for_good before update or delete on ${table}
    for each row execute function ledger_is_for_good();
  create trigger ${table}_for_good_all before truncate on ${table}
    for each statement execute function ledger_is_for_good();`,
    )
    .join('')}
`;

/** What is in stock already enters the ledger as it stands. */
const OPENING = `
  insert into entries (kind, by_whom, reason)
    select 'entered', 'Lanewright', 'stock when the ledger was opened' where exists (select 1 from rolls);
  insert into movements (entry, roll, side, cause, length_mm, mass_mg)
    select (select max(id) from entries), code, 'in', 'entered', length_mm, coalesce(mass_kg * 1000000, 0)
    from rolls where length_mm > 0;
  insert into status_changes (entry, roll, becomes) select (select max(id) from entries), code, status from rolls;
`;

const BALANCED = `
  create function roll_balances() returns trigger language plpgsql as $$
  declare
    held record;
    booked record;
    last_status text;
    code_of text;
  begin
    code_of := case when tg_table_name = 'rolls' then to_jsonb(new) ->> 'code' else to_jsonb(new) ->> 'roll' end;
    select length_mm, coalesce(mass_kg * 1000000, 0)::bigint as mass_mg, status into held from rolls where code = code_of;
    if not found then return null; end if;
    select coalesce(sum(length_mm), 0)::bigint as length_mm, coalesce(sum(mass_mg), 0)::bigint as mass_mg
      into booked from movements where roll = code_of;
    select becomes into last_status from status_changes where roll = code_of order by id desc limit 1;
    if held.length_mm <> booked.length_mm or held.mass_mg <> booked.mass_mg then
      raise exception 'roll % holds % mm and % mg, but its ledger says % mm and % mg',
        code_of, held.length_mm, held.mass_mg, booked.length_mm, booked.mass_mg using errcode = 'LW002';
    end if;
    if held.status is distinct from last_status then
      raise exception 'roll % is %, but its ledger says %', code_of, held.status, last_status using errcode = 'LW002';
    end if;
    return null;
  end $$;
  create constraint trigger rolls_balance after insert or update of length_mm, mass_kg, status on rolls
    deferrable initially deferred for each row execute function roll_balances();
  create constraint trigger movements_balance after insert on movements
    deferrable initially deferred for each row execute function roll_balances();
  create constraint trigger status_changes_balance after insert on status_changes
    deferrable initially deferred for each row execute function roll_balances();
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop trigger rolls_balance on rolls;
    drop table status_changes, movements, entries;
    drop function roll_balances, ledger_is_for_good;
    delete from rolls where kind = 'finished';
    update rolls set status = 'used up' where status = 'dispatched';
    alter table rolls
      drop constraint rolls_order_of_finished,
      drop column splices, drop column order_line, drop column supplier,
      drop constraint rolls_kind_check, drop constraint rolls_status_check, drop constraint rolls_length_mm_check,
      add constraint rolls_kind_check check (kind in ('coated', 'base', 'stub')),
      add constraint rolls_status_check check (status in ('in quarantine', 'released', 'on hold', 'used up')),
      add constraint rolls_length_mm_check check (length_mm > 0) not valid;
    drop index rolls_lot;
  `);
}
