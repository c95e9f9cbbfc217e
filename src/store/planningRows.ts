// The rows that a planning problem is made of, in the order of their codes, so that the same stock gives the same file.
import type { Knex } from 'knex';
import { leftToPlan, type Quantity } from '../domain/orderProgress.ts';
import type { Row } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import type { IsoDate } from '../domain/units.ts';
import { progressOf } from './orderProgress.ts';
import { notReserved } from './releases.ts';
import { selection } from './tables.ts';

/** Open, or a quote that is still held (migration 012): what has to be kept for somebody. */
const isOpen = (order: Knex.QueryBuilder): void => {
  order
    .where('t.status', 'open')
    .orWhere((quote) =>
      quote
        .where('t.status', 'quoted')
        .whereExists((held) =>
          held
            .from('promises as p')
            .whereRaw('p.order_line = t.code and p.until > now() and p.ended is null')
            .select('p.id'),
        ),
    );
};

/**
 * Open orders and quotes that are held; of these products and with these codes, where given. What good rolls and released
 * runs cover of them is left out: quantity and tolerance are those of what is left.
 */
export async function openOrders(
  db: Knex,
  among: { products?: readonly string[]; orders?: readonly string[] },
): Promise<Row[]> {
  const rows = db('order_lines as t').select(selection(db, RESOURCES.orders)).where(isOpen);
  if (among.products) rows.whereIn('t.product', among.products);
  if (among.orders) rows.whereIn('t.code', among.orders);
  const orders: Row[] = await rows.orderBy('t.code');
  const codes = orders.map((order) => order.code as string);
  const progress = await progressOf(db, codes);
  return orders.map((order) => ({
    ...order,
    ...leftToPlan(order as unknown as Quantity, progress.get(order.code as string)?.covered ?? 0),
  }));
}

/** Rolls that may be used on this day: released, not past use-by, not at the machine, of these products or grades. */
export async function usableRolls(
  db: Knex,
  of: { products: readonly string[]; grades: readonly string[]; planOn: IsoDate },
): Promise<Row[]> {
  const rows = db('rolls as t').select(selection(db, RESOURCES.rolls));
  return notReserved(rows, 't.code')
    .where('t.status', 'released')
    .whereNot('t.kind', 'finished')
    .where((day) => day.whereNull('t.use_by').orWhere('t.use_by', '>=', of.planOn))
    .where((item) => item.whereIn('t.product', of.products).orWhereIn('t.grade', of.grades))
    .orderBy('t.code');
}

/** Offers of these grades that are valid on this day, priced in the plant's currency; without a rate they are left out. */
export async function offersOf(db: Knex, grades: readonly string[], planOn: IsoDate): Promise<Row[]> {
  const price = 'in_plant_currency(t.price_per_kg, t.currency, ?)';
  const offers: (Row & { plantPrice: number })[] = await db('offers as t')
    .select([...selection(db, RESOURCES.offers), db.raw(`${price} as "plantPrice"`, [planOn])])
    .whereRaw(`${price} is not null`, [planOn])
    .whereIn('t.grade', grades)
    .where((valid) => valid.whereNull('t.valid_until').orWhere('t.valid_until', '>=', planOn))
    .orderBy('t.code');
  return offers.map(({ plantPrice, ...offer }) => ({ ...offer, pricePerKg: plantPrice }));
}

/** Catalogue widths in use of these products. */
export async function fillersOf(db: Knex, products: readonly string[]): Promise<Row[]> {
  return db('fillers as t')
    .select(selection(db, RESOURCES.fillers))
    .where('t.active', true)
    .whereIn('t.product', products)
    .orderBy('t.code');
}

/** The rows with these codes, or all rows when no codes are given. */
export async function rowsByCode(
  db: Knex,
  name: 'products' | 'grades' | 'slitters',
  codes?: readonly string[],
): Promise<Row[]> {
  const rows = db(`${name} as t`).select(selection(db, RESOURCES[name]));
  if (codes) rows.whereIn('t.code', codes);
  return rows.orderBy('t.code');
}
