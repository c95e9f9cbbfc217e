// What the purchaser's optimisation reads: offers with all their terms, and the strips that open orders ask for with the
// limits of the machines that would slit them. Widths whole um, lengths whole mm; metres as m.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';

export interface OfferTerms {
  code: string;
  supplier: string;
  supplierName: string;
  grade: string;
  widthUm: number | null;
  widthMinUm: number | null;
  widthMaxUm: number | null;
  widthStepUm: number | null;
  rollLengthMm: number;
  /** Prices are in this currency. */
  currency: string;
  pricePerKg: number;
  breakFromKg: number | null;
  breakPricePerKg: number | null;
  minOrderKg: number;
  multipleKg: number | null;
  multipleRolls: number | null;
  leadTimeDays: number;
  leadSpreadDays: number | null;
  validUntil: IsoDate | null;
}

export async function offerTerms(db: Knex): Promise<OfferTerms[]> {
  return db('offers as o')
    .join('suppliers as s', 's.code', 'o.supplier')
    .orderBy('o.code')
    .select('o.code', 'o.supplier', 'o.grade', 'o.currency', {
      supplierName: 's.name',
      widthUm: 'o.width_um',
      widthMinUm: 'o.width_min_um',
      widthMaxUm: 'o.width_max_um',
      widthStepUm: 'o.width_step_um',
      rollLengthMm: 'o.roll_length_mm',
      pricePerKg: 'o.price_per_kg',
      breakFromKg: 'o.break_from_kg',
      breakPricePerKg: 'o.break_price_per_kg',
      minOrderKg: 'o.min_order_kg',
      multipleKg: 'o.multiple_kg',
      multipleRolls: 'o.multiple_rolls',
      leadTimeDays: 'o.lead_time_days',
      leadSpreadDays: 'o.lead_spread_days',
      validUntil: 'o.valid_until',
    });
}

export interface SupplierHead {
  code: string;
  name: string;
  /** The two amounts are in this currency. */
  currency: string;
  minOrderValue: number | null;
  containerKg: number | null;
  containerRolls: number | null;
  containerCost: number | null;
}

/** Suppliers with what holds for a whole order of theirs. */
export async function supplierHeads(db: Knex): Promise<SupplierHead[]> {
  return db('suppliers').orderBy('code').select('code', 'name', 'currency', {
    minOrderValue: 'min_order_value',
    containerKg: 'container_kg',
    containerRolls: 'container_rolls',
    containerCost: 'container_cost',
  });
}

/** What is asked for of one product in one finished length. */
export interface ProductStrips {
  product: string;
  lengthMm: number;
  /** The grade named first for it. */
  grade: string;
  /** What no strip may take at both edges together: coat-free edge or least edge trim, the wider of each side. */
  edgesUm: number;
  maxStrips: number | null;
  /** The widest web that a slitter of the product takes. */
  maxWebUm: number;
  strips: { widthUm: number; metres: number }[];
}

/**
 * Strips of open orders by product, finished length (a set has one) and width, with the kindest limits of the slitters
 * that may run the product; due up to a day, where one is given.
 */
export async function stripsAsked(db: Knex, until?: IsoDate): Promise<ProductStrips[]> {
  const { rows } = await db.raw(
    `
    select p.code as product, d.length_mm as "lengthMm", g.code as grade, m.most as "maxStrips", m.web_um as "maxWebUm",
      greatest(p.coat_free_left_um, m.left_um) + greatest(p.coat_free_right_um, m.right_um) as "edgesUm",
      json_agg(json_build_object('widthUm', d.width_um, 'metres', d.metres) order by d.width_um) as strips
    from products p
    join product_grades g on g.product = p.code and g.position = 0
    join (select o.product, o.length_mm, o.width_um, sum(greatest(0, o.rolls - f.covered) * o.length_mm::float8 / 1000) as metres
      from order_lines o join order_progress f on f.order_line = o.code
      where o.status = 'open' and (?::date is null or o.due_on <= ?) group by o.product, o.length_mm, o.width_um) d on d.product = p.code and d.metres > 0
    cross join lateral (
      select max(coalesce(s.max_strips, 1000)) as most, coalesce(max(coalesce(s.max_web_width_um, 10000000)), 10000000) as web_um, coalesce(min(s.edge_trim_min_left_um), 0) as left_um,
        coalesce(min(s.edge_trim_min_right_um), 0) as right_um
      from slitters s where not exists (select 1 from product_slitters l where l.product = p.code)
        or exists (select 1 from product_slitters l where l.product = p.code and l.code = s.code)) m
    group by p.code, d.length_mm, g.code, m.most, m.web_um, m.left_um, m.right_um order by p.code, d.length_mm`,
    [until ?? null, until ?? null],
  );
  return rows;
}
