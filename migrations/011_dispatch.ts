// Packages and what is in them. A roll is in one package at a time, which the database itself holds; a row is never
// deleted, taking a roll out names the entry that did it. Products get the number that their GTIN is made of.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(ITEM_NUMBERS);
  await knex.raw(PACKAGES);
}

const ITEM_NUMBERS = `
  create sequence product_item_numbers maxvalue 99999;
  alter table products add column item_number integer unique;
  update products set item_number = numbered.number
    from (select code, nextval('product_item_numbers') as number from (select code from products order by code) p) numbered
    where products.code = numbered.code;
  alter table products
    alter column item_number set default nextval('product_item_numbers'),
    alter column item_number set not null;
`;

const PACKAGES = `
  create sequence package_numbers;
  create table packages (
    -- Serial shipping container code.
    sscc text primary key check (sscc ~ '^[0-9]{18}$'),
    customer text not null references customers on update cascade,
    status text not null default 'open' check (status in ('open', 'dispatched', 'undone')),
    entry bigint not null references entries,
    -- The entry that sent it, or undid it.
    ended bigint references entries,
    constraint packages_ended check ((status = 'open') = (ended is null))
  );
  create index packages_status on packages (status, sscc);
  create index packages_customer on packages (customer);
  create index packages_entry on packages (entry);

  create table package_rolls (
    package text not null references packages,
    roll text not null references rolls,
    packed bigint not null references entries,
    -- The entry that took it out again, or brought it back after dispatch.
    taken_out bigint references entries,
    primary key (package, roll, packed)
  );
  create unique index package_rolls_one_package on package_rolls (roll) where taken_out is null;
  create index package_rolls_packed on package_rolls (packed);
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    drop table package_rolls, packages;
    drop sequence package_numbers;
    alter table products drop column item_number;
    drop sequence product_item_numbers;
  `);
}
