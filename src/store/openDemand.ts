// What waits to be planned: open order lines product by product, beside the released stock they could come from.
// Areas in m2 (um x mm = 1e-9 m2), added in the database as numeric.
import type { Knex } from 'knex';
import { leftToPlan } from '../domain/orderProgress.ts';
import { notReserved } from './releases.ts';

export interface OpenOrder {
  code: string;
  customer: string;
  widthUm: number;
  lengthMm: number;
  /** Left to plan, with what is left of the tolerance. */
  rolls: number;
  overPct: number;
  underPct: number;
  dueOn: string | undefined;
  priority: string;
}

export interface OpenProduct {
  code: string;
  name: string;
  orders: OpenOrder[];
  /** Released coated rolls and stubs, not at the machine, that are within their use-by date on the given day. */
  stockRolls: number;
  stockM2: number;
}

/** Products with open orders, by code; orders by due date, those without one last. */
export async function selectOpenDemand(db: Knex, today: string): Promise<OpenProduct[]> {
  const orders = await db('order_lines as o')
    .join('products as p', 'p.code', 'o.product')
    .join('customers as c', 'c.code', 'o.customer')
    .join('order_progress as g', 'g.order_line', 'o.code')
    .where('o.status', 'open')
    .orderByRaw('o.product, o.due_on nulls last, o.code')
    .select('o.*', 'p.name as product_name', 'c.name as customer_name', 'g.covered');
  const stock = await selectStock(db, today);
  const products = new Map<string, OpenProduct>();
  for (const row of orders) {
    const held = stock.get(row.product) ?? { rolls: 0, m2: 0 };
    const product: OpenProduct = products.get(row.product) ?? {
      code: row.product,
      name: row.product_name,
      orders: [],
      stockRolls: held.rolls,
      stockM2: held.m2,
    };
    product.orders.push(toOrder(row as Record<string, never>));
    products.set(row.product, product);
  }
  return [...products.values()];
}

async function selectStock(db: Knex, today: string): Promise<Map<string, { rolls: number; m2: number }>> {
  const rows = await notReserved(db('rolls'), 'rolls.code')
    .whereIn('kind', ['coated', 'stub'])
    .where('status', 'released')
    .where((within) => within.whereNull('use_by').orWhere('use_by', '>=', today))
    .groupBy('product')
    .select(
      'product',
      db.raw('count(*)::int as rolls'),
      db.raw('sum(width_um::numeric * length_mm) / 1e9 as m2'),
    );
  return new Map(rows.map((row) => [row.product, { rolls: row.rolls, m2: Number(row.m2) }]));
}

function toOrder(row: Record<string, never>): OpenOrder {
  const { rolls, over_pct: overPct, under_pct: underPct } = row;
  return {
    code: row.code,
    customer: row.customer_name,
    widthUm: row.width_um,
    lengthMm: row.length_mm,
    ...leftToPlan({ rolls, overPct, underPct }, row.covered),
    dueOn: row.due_on ?? undefined,
    priority: row.priority,
  };
}
