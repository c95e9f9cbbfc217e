// What couples the lines of one purchase order, and what makes prices comparable: currencies with dated rates, the least value
// of an order, containers. Rates say what one unit of a currency is worth in the plant's own, EUR.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    create table rates (
      code text primary key,
      currency text not null check (currency ~ '^[A-Z]{3}$' and currency <> 'EUR'),
      from_on date not null,
      rate numeric not null check (rate > 0),
      note text
    );
    create unique index rates_code_any_case on rates (lower(code));
    create index rates_currency on rates (currency, from_on);

    -- An amount in the plant's currency by the newest rate of that day; null when there is none.
    create function in_plant_currency(amount numeric, currency text, day date) returns numeric
      language sql stable as $$
        select case when $2 = 'EUR' then $1 else
          $1 * (select r.rate from rates r where r.currency = $2 and r.from_on <= $3
            order by r.from_on desc, r.code desc limit 1) end $$;

    alter table suppliers
      add column currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$'),
      add column min_order_value numeric check (min_order_value > 0),
      add column container_kg numeric check (container_kg > 0),
      add column container_rolls integer check (container_rolls > 0),
      add column container_cost numeric check (container_cost >= 0),
      add constraint suppliers_container_has_room
        check (container_cost is null or num_nonnulls(container_kg, container_rolls) > 0);
    alter table offers add column currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$');
    alter table purchase_orders add column currency text not null default 'EUR' check (currency ~ '^[A-Z]{3}$');
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table purchase_orders drop column currency;
    alter table offers drop column currency;
    alter table suppliers
      drop constraint suppliers_container_has_room,
      drop column currency, drop column min_order_value, drop column container_kg, drop column container_rolls,
      drop column container_cost;
    drop function in_plant_currency(numeric, text, date);
    drop table rates;
  `);
}
