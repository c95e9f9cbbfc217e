// What the purchaser plans with: forecasts per product and week, safety stock per grade, what offers say beside price and
// width, and on purchase orders how many rolls the supplier confirmed. Widths whole um, lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table grades add column safety_stock_kg numeric check (safety_stock_kg >= 0);

    alter table offers
      add column break_from_kg numeric check (break_from_kg > 0),
      add column break_price_per_kg numeric check (break_price_per_kg >= 0),
      add column multiple_kg numeric check (multiple_kg > 0),
      add column multiple_rolls integer check (multiple_rolls > 0),
      add column valid_until date,
      add column lead_spread_days integer check (lead_spread_days >= 0),
      add constraint offers_break_has_price check (num_nonnulls(break_from_kg, break_price_per_kg) in (0, 2)),
      add constraint offers_one_multiple check (num_nonnulls(multiple_kg, multiple_rolls) <= 1);

    -- What is expected to fall due in a week, orders included; the week is its Monday.
    create table forecasts (
      code text primary key,
      product text not null references products on update cascade,
      week_on date not null check (extract(isodow from week_on) = 1),
      area_m2 numeric check (area_m2 > 0),
      rolls integer check (rolls > 0),
      width_um integer check (width_um > 0),
      length_mm bigint check (length_mm > 0),
      note text,
      constraint forecasts_area_or_rolls check (
        (area_m2 is not null and num_nonnulls(rolls, width_um, length_mm) = 0)
        or (area_m2 is null and num_nonnulls(rolls, width_um, length_mm) = 3))
    );
    create unique index forecasts_code_any_case on forecasts (lower(code));
    create index forecasts_product on forecasts (product, week_on);
    create index forecasts_week on forecasts (week_on, code);

    alter table purchase_order_lines add column confirmed_rolls integer check (confirmed_rolls >= 0);
  `);
}

export async function down(knex: Knex): Promise<void> {
  await knex.raw(`
    alter table purchase_order_lines drop column confirmed_rolls;
    drop table forecasts;
    alter table offers
      drop column break_from_kg, drop column break_price_per_kg, drop column multiple_kg, drop column multiple_rolls,
      drop column valid_until, drop column lead_spread_days;
    alter table grades drop column safety_stock_kg;
  `);
}
