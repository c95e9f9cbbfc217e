// Suppliers, grades, offers, slitters, products. Business codes are the keys: they are what people type, what files
// carry and what a frozen problem names; "R1" and "r1" are one code. Widths whole um, lengths whole mm.
import type { Knex } from 'knex';

export async function up(knex: Knex): Promise<void> {
  await knex.raw(`
    create table suppliers (
      code text primary key,
      name text not null,
      note text
    );
    create unique index suppliers_code_any_case on suppliers (lower(code));

    create table grades (
      code text primary key,
      polymer text not null,
      thickness_um numeric not null check (thickness_um > 0),
      density_g_per_cm3 numeric not null check (density_g_per_cm3 > 0),
      surface text,
      note text
    );
    create unique index grades_code_any_case on grades (lower(code));

    create table offers (
      code text primary key,
      supplier text not null references suppliers,
      grade text not null references grades,
      width_um integer check (width_um > 0),
      width_min_um integer check (width_min_um > 0),
      width_max_um integer check (width_max_um >= width_min_um),
      width_step_um integer check (width_step_um > 0),
      roll_length_mm bigint not null check (roll_length_mm > 0),
      core_inside_um integer check (core_inside_um > 0),
      price_per_kg numeric not null check (price_per_kg >= 0),
      min_order_kg numeric not null default 0 check (min_order_kg >= 0),
      lead_time_days integer not null check (lead_time_days >= 0),
      note text,
      constraint offers_one_width_or_range check (
        (width_um is not null and num_nonnulls(width_min_um, width_max_um, width_step_um) = 0)
        or (width_um is null and num_nonnulls(width_min_um, width_max_um, width_step_um) = 3))
    );
    create unique index offers_code_any_case on offers (lower(code));
    create index offers_supplier on offers (supplier);
    create index offers_grade on offers (grade);
  `);
  await knex.raw(SLITTERS);
  await knex.raw(PRODUCTS);
}

const SLITTERS = `
  create table slitters (
    code text primary key,
    name text,
    max_web_width_um integer check (max_web_width_um > 0),
    min_strip_width_um integer check (min_strip_width_um >= 0),
    max_strips integer check (max_strips > 0),
    max_distinct_widths integer check (max_distinct_widths > 0),
    max_waste_strips integer check (max_waste_strips >= 0),
    edge_trim_min_left_um integer not null default 0 check (edge_trim_min_left_um >= 0),
    edge_trim_min_right_um integer not null default 0 check (edge_trim_min_right_um >= 0),
    edge_trim_max_left_um integer check (edge_trim_max_left_um >= edge_trim_min_left_um),
    edge_trim_max_right_um integer check (edge_trim_max_right_um >= edge_trim_min_right_um),
    minutes_per_setup numeric not null default 0 check (minutes_per_setup >= 0),
    minutes_per_knife_move numeric not null default 0 check (minutes_per_knife_move >= 0),
    minutes_per_set_change numeric not null default 0 check (minutes_per_set_change >= 0),
    metres_per_minute numeric check (metres_per_minute > 0),
    ramp_up_seconds numeric not null default 0 check (ramp_up_seconds >= 0),
    ramp_down_seconds numeric not null default 0 check (ramp_down_seconds >= 0),
    lead_in_mm bigint not null default 0 check (lead_in_mm >= 0),
    tail_mm bigint not null default 0 check (tail_mm >= 0),
    max_roll_diameter_um integer check (max_roll_diameter_um > 0),
    cost_per_hour numeric not null default 0 check (cost_per_hour >= 0),
    note text
  );
  create unique index slitters_code_any_case on slitters (lower(code));
`;

const PRODUCTS = `
  create table products (
    code text primary key,
    name text not null,
    layer_thickness_um numeric check (layer_thickness_um > 0),
    core_inside_um integer check (core_inside_um > 0),
    core_outside_um integer check (core_outside_um > 0),
    max_splices integer not null default 0 check (max_splices >= 0),
    coat_free_left_um integer not null default 0 check (coat_free_left_um >= 0),
    coat_free_right_um integer not null default 0 check (coat_free_right_um >= 0),
    coating_loss_mm bigint not null default 0 check (coating_loss_mm >= 0),
    coating_cost_per_m2 numeric not null default 0 check (coating_cost_per_m2 >= 0),
    coating_lead_days integer not null default 0 check (coating_lead_days >= 0),
    dry_g_per_m2 numeric check (dry_g_per_m2 >= 0),
    solids_pct numeric check (solids_pct between 0 and 100),
    shelf_life_months integer check (shelf_life_months >= 0),
    note text
  );
  create unique index products_code_any_case on products (lower(code));

  -- Position keeps the order in which the codes were given: the preferred one first.
  create table product_grades (
    product text not null references products on delete cascade on update cascade,
    code text not null references grades,
    position integer not null,
    primary key (product, code)
  );
  create index product_grades_code on product_grades (code);
  create table product_slitters (
    product text not null references products on delete cascade on update cascade,
    code text not null references slitters,
    position integer not null,
    primary key (product, code)
  );
  create index product_slitters_code on product_slitters (code);
`;

export async function down(knex: Knex): Promise<void> {
  await knex.raw(
    'drop table product_slitters, product_grades, products, slitters, offers, grades, suppliers',
  );
}
