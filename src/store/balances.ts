// What the stock holds and what the open orders ask for, as areas by product and by grade, and what suppliers offer.
// Areas are in m2 (um x mm / 1e9), added by the database in a wide number.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';
import { notReserved } from './releases.ts';

const AREA_M2 = 'width_um::float8 * length_mm / 1e9';

export interface Demand {
  product: string;
  name: string;
  orders: number;
  areaM2: number;
  /** Earliest due day of them; null when none has one. */
  firstDue: string | null;
}

/** Rolls of an order that are neither made nor at the machine. */
const LEFT = 'greatest(0, o.rolls - g.covered)';

/** What is ordered and not yet planned, by product. */
export async function openDemand(db: Knex): Promise<Demand[]> {
  return db('order_lines as o')
    .join('order_progress as g', 'g.order_line', 'o.code')
    .join('products as p', 'p.code', 'o.product')
    .where('o.status', 'open')
    .groupBy('p.code', 'p.name')
    .orderBy('p.code')
    .select({ product: 'p.code', name: 'p.name' })
    .select(
      db.raw('count(*)::int as orders'),
      db.raw(`sum(${LEFT} * o.${AREA_M2}) as "areaM2"`),
      db.raw('min(o.due_on) as "firstDue"'),
    );
}

export interface Holding {
  kind: 'coated' | 'stub' | 'base';
  item: string;
  status: 'released' | 'in quarantine' | 'on hold';
  rolls: number;
  areaM2: number;
  widestUm: number;
}

/** What lies in stock, not at the machine and not past its use-by day, by item and status. */
export async function holdings(db: Knex, today: string): Promise<Holding[]> {
  return notReserved(db('rolls'), 'rolls.code')
    .whereNot('status', 'used up')
    .whereNot('kind', 'finished')
    .where((q) => q.whereNull('use_by').orWhere('use_by', '>=', today))
    .groupBy('kind', 'item', 'status')
    .orderBy(['item', 'status'])
    .select('kind', 'item', 'status')
    .select(
      db.raw('count(*)::int as rolls'),
      db.raw(`sum(${AREA_M2}) as "areaM2"`),
      db.raw('max(width_um) as "widestUm"'),
    );
}

interface Usable {
  product: string;
  grade: string;
}

/** Which grades each product may be coated on, the preferred first. */
export async function gradesOfProducts(db: Knex): Promise<Usable[]> {
  return db('product_grades').orderBy(['product', 'position']).select('product', { grade: 'code' });
}

export interface WidthDemand {
  widthUm: number;
  lengthMm: number;
  orders: number;
  rolls: number;
  areaM2: number;
  firstDue: string | null;
}

/** Open orders of one product by width and finished length. */
export async function demandByWidth(db: Knex, product: string): Promise<WidthDemand[]> {
  return db('order_lines as o')
    .join('order_progress as g', 'g.order_line', 'o.code')
    .where({ 'o.product': product, 'o.status': 'open' })
    .groupBy('o.width_um', 'o.length_mm')
    .orderBy(['o.width_um', 'o.length_mm'])
    .select({ widthUm: 'o.width_um', lengthMm: 'o.length_mm' })
    .select(
      db.raw('count(*)::int as orders'),
      db.raw(`sum(${LEFT})::int as rolls`),
      db.raw(`sum(${LEFT} * o.${AREA_M2}) as "areaM2"`),
      db.raw('min(o.due_on) as "firstDue"'),
    );
}

export interface OfferLine {
  code: string;
  supplier: string;
  supplierName: string;
  grade: string;
  polymer: string;
  thicknessUm: number;
  densityGPerCm3: number;
  widthUm: number | null;
  widthMinUm: number | null;
  widthMaxUm: number | null;
  currency: string;
  pricePerKg: number;
  /** In the plant's currency by the rate of the day; null: there is none. */
  plantPricePerKg: number | null;
  minOrderKg: number;
  leadTimeDays: number;
  leadSpreadDays: number | null;
  validUntil: IsoDate | null;
}

/** Every grade with every offer for it; a grade without an offer comes once, with nulls. */
export async function gradesWithOffers(
  db: Knex,
  today: IsoDate,
): Promise<(OfferLine | (Partial<OfferLine> & { grade: string }))[]> {
  return db('grades as g')
    .leftJoin('offers as o', 'o.grade', 'g.code')
    .leftJoin('suppliers as s', 's.code', 'o.supplier')
    .orderBy(['g.code', 'o.price_per_kg', 'o.code'])
    .select({
      grade: 'g.code',
      polymer: 'g.polymer',
      thicknessUm: 'g.thickness_um',
      densityGPerCm3: 'g.density_g_per_cm3',
      code: 'o.code',
      supplier: 'o.supplier',
      supplierName: 's.name',
      widthUm: 'o.width_um',
      widthMinUm: 'o.width_min_um',
      widthMaxUm: 'o.width_max_um',
      currency: 'o.currency',
      pricePerKg: 'o.price_per_kg',
      plantPricePerKg: db.raw('in_plant_currency(o.price_per_kg, o.currency, ?)', [today]),
      minOrderKg: 'o.min_order_kg',
      leadTimeDays: 'o.lead_time_days',
      leadSpreadDays: 'o.lead_spread_days',
      validUntil: 'o.valid_until',
    });
}

interface ProductHead {
  product: string;
  name: string;
  coatingLeadDays: number;
}

/** All products, with the days that coating takes. */
export async function productHeads(db: Knex): Promise<ProductHead[]> {
  return db('products').orderBy('code').select({
    product: 'code',
    name: 'name',
    coatingLeadDays: 'coating_lead_days',
  });
}
