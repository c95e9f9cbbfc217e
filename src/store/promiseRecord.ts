// Promised against actual: of each promise the day it was made for, the day on which enough good rolls were made, and the
// day on which so many had left. Days of the ledger's entries. Lengths whole mm.
import type { Knex } from 'knex';

export interface PromiseLine {
  order: string;
  kind: 'order' | 'quote';
  status: string;
  customer: string;
  customerName: string;
  product: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  by: string;
  at: Date;
  promisedOn: string | null;
  until: Date | null;
  /** Held now: a quote within its time. */
  held: boolean;
  ended: 'withdrawn' | 'lapsed' | null;
  /** The day on which the last roll that was needed was made; null while rolls are missing. */
  madeOn: string | null;
  dispatchedOn: string | null;
}

/** The day of the needed-th good roll of an order, by its first entry of this cause and side. */
const dayOfEnough = (filter: string): string => `(
  select d.day from (
    select e.at::date as day, row_number() over (order by e.at, r.code) as n
    from rolls r
    join lateral (select min(m.entry) as entry from movements m where m.roll = r.code and ${filter}) first on true
    join entries e on e.id = first.entry
    where r.order_line = o.code and r.kind = 'finished'
      and (r.status = 'dispatched' or (r.status = 'released' and r.length_mm >= o.length_mm))) as d
  where d.n = greatest(1, ceil(o.rolls * (100 - o.under_pct) / 100.0))::int)`;

/** The newest promises first; all, or of one customer. */
export async function promiseLines(db: Knex, most: number, customer?: string): Promise<PromiseLine[]> {
  const rows = db('promises as p')
    .join('order_lines as o', 'o.code', 'p.order_line')
    .join('customers as c', 'c.code', 'o.customer')
    .orderBy([{ column: 'p.id', order: 'desc' }])
    .limit(most)
    .select({
      order: 'p.order_line',
      kind: 'p.kind',
      status: 'o.status',
      customer: 'o.customer',
      customerName: 'c.name',
      product: 'o.product',
      widthUm: 'o.width_um',
      lengthMm: 'o.length_mm',
      rolls: 'o.rolls',
      by: 'p.by_whom',
      at: 'p.at',
      promisedOn: 'p.promised_on',
      until: 'p.until',
      ended: 'p.ended',
      held: db.raw("(p.kind = 'quote' and p.ended is null and p.until > now())"),
      madeOn: db.raw(dayOfEnough("m.side = 'in'")),
      dispatchedOn: db.raw(dayOfEnough("m.cause = 'dispatched'")),
    });
  if (customer !== undefined) rows.where('o.customer', customer);
  return rows;
}

export interface Acknowledged {
  order: string;
  status: string;
  customerName: string;
  customer: string;
  product: string;
  productName: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  overPct: number;
  underPct: number;
  dueOn: string | null;
  coreInsideUm: number | null;
  maxSplices: number;
  by: string | null;
  at: Date | null;
  until: Date | null;
}

/** An order line with its second part, if there is one, as the customer is told of it. */
export async function acknowledgedLines(db: Knex, order: string): Promise<Acknowledged[]> {
  return db('order_lines as o')
    .join('customers as c', 'c.code', 'o.customer')
    .join('products as t', 't.code', 'o.product')
    .leftJoin('promises as p', 'p.order_line', 'o.code')
    .whereIn('o.code', [order, `${order}/2`])
    .orderBy('o.code')
    .select({
      order: 'o.code',
      status: 'o.status',
      customer: 'o.customer',
      customerName: 'c.name',
      product: 'o.product',
      productName: 't.name',
      widthUm: 'o.width_um',
      lengthMm: 'o.length_mm',
      rolls: 'o.rolls',
      overPct: 'o.over_pct',
      underPct: 'o.under_pct',
      dueOn: 'o.due_on',
      coreInsideUm: 't.core_inside_um',
      maxSplices: 't.max_splices',
      by: 'p.by_whom',
      at: 'p.at',
      until: 'p.until',
    });
}
