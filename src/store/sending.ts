// How far orders are on their way out: made, packed, sent, still in the house; what waits on the dispatch page.
import type { Knex } from 'knex';

export interface Sending {
  order: string;
  customer: string;
  customerName: string;
  product: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  overPct: number;
  underPct: number;
  dueOn: string | null;
  priority: string;
  status: string;
  /** Dispatched. */
  sent: number;
  /** In open packages. */
  packed: number;
  /** Released, in no package. */
  ready: number;
  /** On hold or in quarantine. */
  held: number;
  /** What released runs have yet to make. */
  coming: number;
}

const COUNTS = `
  select order_line, count(*) filter (where status = 'dispatched') as sent,
    count(*) filter (where status = 'released' and package is not null) as packed,
    count(*) filter (where status = 'released' and package is null) as ready,
    count(*) filter (where status in ('on hold', 'in quarantine')) as held
  from (select r.order_line, r.status, i.package from rolls r
    left join package_rolls i on i.roll = r.code and i.taken_out is null
    where r.order_line is not null and r.kind = 'finished' ONLY) as finished
  group by order_line`;

const SENDING = (only: string) => `
  select o.code as "order", o.customer, c.name as "customerName", o.product, o.width_um as "widthUm",
    o.length_mm as "lengthMm", o.rolls, o.over_pct as "overPct", o.under_pct as "underPct", o.due_on as "dueOn",
    o.priority, o.status, coalesce(n.sent, 0) as sent, coalesce(n.packed, 0) as packed, coalesce(n.ready, 0) as ready,
    coalesce(n.held, 0) as held, p.coming
  from order_lines o join customers c on c.code = o.customer join order_progress p on p.order_line = o.code
  left join (${COUNTS.replace('ONLY', only)}) n on n.order_line = o.code`;

/** These orders, in the order of their codes. */
export async function sendingOf(db: Knex, orders: readonly string[]): Promise<Sending[]> {
  const codes = [...new Set(orders)];
  const { rows } = await db.raw(
    `${SENDING('and r.order_line = any(?)')} where o.code = any(?) order by o.code`,
    [codes, codes],
  );
  return rows;
}

/** Orders that are not settled and have finished rolls in the house, the soonest due first. */
export async function ordersToSend(db: Knex, most: number): Promise<Sending[]> {
  const { rows } = await db.raw(
    `${SENDING("and r.status in ('released', 'on hold', 'in quarantine', 'dispatched')")}
     where n.packed + n.ready > 0 and o.status <> 'cancelled'
     order by o.due_on nulls last, o.code limit ?`,
    [most],
  );
  return rows;
}

export async function setOrderStatus(
  trx: Knex,
  orders: readonly string[],
  status: 'done' | 'open',
): Promise<void> {
  await trx('order_lines').whereIn('code', orders).whereNot('status', 'cancelled').update({ status });
}

export interface PackageLine {
  sscc: string;
  customer: string;
  customerName: string;
  status: string;
  rolls: number;
  massKg: number | null;
  orders: string[];
  at: Date;
  by: string;
}

/** Packages of a status, the newest first; `by` and `at`: who began it, or sent it. */
export async function packagesOf(
  db: Knex,
  status: 'open' | 'dispatched',
  most: number,
): Promise<PackageLine[]> {
  const { rows } = await db.raw(
    `select p.sscc, p.customer, c.name as "customerName", p.status, e.at, e.by_whom as by, coalesce(n.rolls, 0) as rolls,
       n.mass as "massKg", coalesce(n.orders, '{}') as orders
     from packages p join customers c on c.code = p.customer join entries e on e.id = coalesce(p.ended, p.entry)
     left join lateral (
       select count(*) as rolls, array_agg(distinct r.order_line) as orders,
         case when bool_and(v.mass_mg <> 0) then sum(v.mass_mg) / 1000000.0 end as mass
       from package_rolls i join rolls r on r.code = i.roll
       join lateral (select coalesce(sum(mass_mg), 0) as mass_mg from movements
         where roll = r.code and cause not in ('dispatched', 'returned')) v on true
       where i.package = p.sscc and i.taken_out is null) n on true
     where p.status = ? order by e.id desc, p.sscc limit ?`,
    [status, most],
  );
  return rows;
}

/** What a roll took with it when it was sent: length and mass, out is positive here; undefined when it was not. */
export async function sentWith(
  db: Knex,
  roll: string,
): Promise<{ lengthMm: number; massMg: number } | undefined> {
  const { rows } = await db.raw(
    `select -sum(length_mm)::bigint as "lengthMm", -sum(mass_mg)::bigint as "massMg" from movements
     where roll = ? and cause in ('dispatched', 'returned') having sum(length_mm) < 0`,
    [roll],
  );
  return rows[0];
}

export interface SentRoll {
  package: string;
  roll: string;
  order: string | null;
  product: string;
  widthUm: number;
  lengthMm: number;
  massMg: number;
  lot: string | null;
  splices: number;
  status: string;
}

/** Rolls of these packages with the length and mass they have, or had when they were sent. */
export async function contentsOf(db: Knex, packages: readonly string[]): Promise<SentRoll[]> {
  const { rows } = await db.raw(
    `select i.package, r.code as roll, r.order_line as "order", r.item as product, r.width_um as "widthUm", r.lot,
       r.splices, r.status, v.length_mm as "lengthMm", v.mass_mg as "massMg"
     from package_rolls i join rolls r on r.code = i.roll
     join lateral (select coalesce(sum(length_mm), 0)::bigint as length_mm, coalesce(sum(mass_mg), 0)::bigint as mass_mg
       from movements where roll = r.code and cause not in ('dispatched', 'returned')) v on true
     where i.package = any(?) and i.taken_out is null order by i.package, r.order_line, r.code`,
    [[...packages]],
  );
  return rows;
}

/** Packages that hold rolls of an order and were not undone. */
export async function packagesWithOrder(db: Knex, order: string): Promise<string[]> {
  return db('package_rolls as i')
    .join('rolls as r', 'r.code', 'i.roll')
    .join('packages as p', 'p.sscc', 'i.package')
    .where('r.order_line', order)
    .whereNull('i.taken_out')
    .whereNot('p.status', 'undone')
    .distinct('i.package')
    .orderBy('i.package')
    .pluck('i.package');
}
