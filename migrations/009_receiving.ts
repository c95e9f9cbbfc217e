// Film that is ordered and film that arrives. A roll that was received points to its receipt and, where it was ordered, to
// the line of the purchase order that it fills. One supplier's roll number comes in once. Widths whole um, lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(PURCHASE_ORDERS);
  await knex.raw(RECEIPTS);
}

const PURCHASE_ORDERS = `
  create sequence purchase_order_numbers;
  create table purchase_orders (
    code text primary key,
    supplier text not null references suppliers on update cascade,
    status text not null default 'draft' check (status in ('draft', 'sent', 'confirmed', 'closed', 'cancelled')),
    ordered_on date,
    note text,
    -- One submit of one form, however often it is sent.
    request_key text unique
  );
  create unique index purchase_orders_code_any_case on purchase_orders (lower(code));
  create index purchase_orders_supplier on purchase_orders (supplier);
  create index purchase_orders_status on purchase_orders (status, code);

  create table purchase_order_lines (
    purchase_order text not null references purchase_orders on update cascade on delete cascade,
    line integer not null check (line > 0),
    grade text not null references grades on update cascade,
    offer text references offers on update cascade on delete set null,
    width_um integer not null check (width_um > 0),
    length_mm bigint not null check (length_mm > 0),
    rolls integer not null check (rolls > 0),
    price_per_kg numeric check (price_per_kg >= 0),
    wanted_on date,
    confirmed_on date,
    primary key (purchase_order, line)
  );
  create index purchase_order_lines_grade on purchase_order_lines (grade);
  create index purchase_order_lines_offer on purchase_order_lines (offer);
`;

const RECEIPTS = `
  create sequence received_roll_numbers;
  create table receipts (
    entry bigint primary key references entries,
    supplier text not null references suppliers on update cascade,
    purchase_order text references purchase_orders on update cascade,
    delivery_note text,
    received_on date not null,
    -- Length, mass and diameter may differ so much before somebody has to confirm it.
    tolerance_pct numeric not null check (tolerance_pct > 0)
  );
  create index receipts_purchase_order on receipts (purchase_order);

  create table received_rolls (
    roll text primary key references rolls,
    entry bigint not null references receipts,
    supplier text not null references suppliers on update cascade,
    -- The number on the supplier's label.
    supplier_roll text not null,
    purchase_order text,
    line integer,
    diameter_um integer check (diameter_um > 0),
    core_outside_um integer check (core_outside_um > 0),
    -- What disagreed and was confirmed all the same, in words.
    confirmed text[] not null default '{}',
    foreign key (purchase_order, line) references purchase_order_lines on update cascade,
    constraint received_rolls_order_with_line check ((purchase_order is null) = (line is null))
  );
  create unique index received_rolls_once on received_rolls (supplier, lower(supplier_roll));
  create index received_rolls_entry on received_rolls (entry);
  create index received_rolls_line on received_rolls (purchase_order, line) where purchase_order is not null;
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop table received_rolls, receipts, purchase_order_lines, purchase_orders;
    drop sequence received_roll_numbers, purchase_order_numbers;
  `);
}
