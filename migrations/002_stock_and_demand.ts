// Rolls with their bad places, customers, order lines. A roll's item is a grade (base film) or a product (coated, stub):
// two generated columns carry the foreign keys, so an item that does not exist cannot be stored.
// Indexes serve the lists: filters and sorts over 10,000 rows and more.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(ROLLS);
  await knex.raw(DEMAND);
}

const ROLLS = `
  create table rolls (
    code text primary key,
    kind text not null check (kind in ('coated', 'base', 'stub')),
    item text not null,
    product text generated always as (case when kind <> 'base' then item end) stored references products,
    grade text generated always as (case when kind = 'base' then item end) stored references grades,
    width_um integer not null check (width_um > 0),
    length_mm bigint not null check (length_mm > 0),
    mass_kg numeric check (mass_kg > 0),
    core_inside_um integer check (core_inside_um > 0),
    lot text,
    location text,
    received_on date,
    use_by date,
    status text not null default 'in quarantine'
      check (status in ('in quarantine', 'released', 'on hold', 'used up')),
    cost_per_roll numeric check (cost_per_roll >= 0),
    note text
  );
  create unique index rolls_code_any_case on rolls (lower(code));
  create index rolls_product on rolls (product);
  create index rolls_grade on rolls (grade);
  create index rolls_item on rolls (item, code);
  create index rolls_status on rolls (status, code);
  create index rolls_kind on rolls (kind, code);
  create index rolls_use_by on rolls (use_by, code);
  create index rolls_received_on on rolls (received_on, code);
  create index rolls_width on rolls (width_um, code);
  create index rolls_length on rolls (length_mm, code);

  -- Metres from the outer end, millimetres from the left datum edge; null is the end of the roll, the right edge.
  create table roll_defects (
    roll text not null references rolls on delete cascade on update cascade,
    position integer not null,
    from_mm bigint not null check (from_mm >= 0),
    to_mm bigint check (to_mm > from_mm),
    from_um integer not null check (from_um >= 0),
    to_um integer check (to_um > from_um),
    kind text not null,
    primary key (roll, position)
  );
`;

const DEMAND = `
  create table customers (
    code text primary key,
    name text not null,
    note text
  );
  create unique index customers_code_any_case on customers (lower(code));

  create table order_lines (
    code text primary key,
    customer text not null references customers,
    product text not null references products,
    width_um integer not null check (width_um > 0),
    length_mm bigint not null check (length_mm > 0),
    rolls integer not null check (rolls > 0),
    over_pct numeric not null default 0 check (over_pct >= 0),
    under_pct numeric not null default 0 check (under_pct between 0 and 100),
    due_on date,
    priority text not null default 'normal' check (priority in ('low', 'normal', 'rush')),
    status text not null default 'open' check (status in ('open', 'planned', 'done', 'cancelled')),
    note text
  );
  create unique index order_lines_code_any_case on order_lines (lower(code));
  create index order_lines_customer on order_lines (customer, code);
  create index order_lines_product on order_lines (product, code);
  create index order_lines_status on order_lines (status, code);
  create index order_lines_priority on order_lines (priority, code);
  create index order_lines_due_on on order_lines (due_on, code);
  create index order_lines_width on order_lines (width_um, code);
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw('drop table order_lines, customers, roll_defects, rolls');
}
