// Where rolls come from and what became of them, along movements.made_of: whole rolls as a tree, the many finished
// rolls counted by order and customer, so that a lot with thousands of them answers at once. A child whose making was
// taken back counts for nothing. Lengths whole mm.
import type { Knex } from 'knex';

export interface FamilyRoll {
  code: string;
  kind: 'base' | 'coated' | 'stub' | 'finished';
  item: string;
  lot: string | null;
  supplier: string | null;
  supplierName: string | null;
  widthUm: number;
  lengthMm: number;
  status: string;
  receivedOn: string | null;
  /** Whom a finished roll is for. */
  order: string | null;
  customer: string | null;
  customerName: string | null;
  parents: string[];
}

/** Finished rolls of one parent that went to one customer (null: to nobody yet). */
export interface FinishedOfParent {
  parent: string;
  customer: string | null;
  customerName: string | null;
  rolls: number;
}

export interface FinishedOfOrder {
  /** Null: made for nobody, for the shelf. */
  order: string | null;
  customer: string | null;
  customerName: string | null;
  product: string;
  widthUm: number;
  rolls: number;
  madeMm: number;
  dispatched: number;
  released: number;
  held: number;
}

/** Rolls of a lot that are not made of other rolls of it, void ones left out; at most so many, and how many there are. */
export async function rollsOfLot(
  db: Knex,
  lot: string,
  most: number,
): Promise<{ codes: string[]; total: number }> {
  const { rows } = await db.raw(
    `select code, count(*) over () as total from rolls r where lower(lot) = lower(?) and not exists (
       select from movements v join rolls p on p.code = v.made_of where v.roll = r.code and lower(p.lot) = lower(?))
       and coalesce((select sum(v.length_mm) from movements v where v.roll = r.code and v.made_of is not null), 1) > 0
     order by code limit ?`,
    [lot, lot, most],
  );
  return { codes: rows.map((row: { code: string }) => row.code), total: rows[0]?.total ?? 0 };
}

/**
 * Rolls from these back to the first, and forward to the last that is not finished; with `starts` themselves. Laterals
 * that cannot be flattened: else the planner, which cannot know how few rolls a step has, reads the whole ledger for it.
 */
const FAMILY = `
  with recursive up(code) as (
    select unnest(?::text[])
    union
    select p.made_of from up cross join lateral (
      select v.made_of from movements v where v.roll = up.code and v.made_of is not null
      group by v.made_of having sum(v.length_mm) > 0 offset 0) p),
  down(code) as (
    select unnest(?::text[])
    union
    select c.roll from down cross join lateral (
      select v.roll from movements v join rolls r on r.code = v.roll
      where v.made_of = down.code and r.kind <> 'finished'
      group by v.roll having sum(v.length_mm) > 0 offset 0) c)
  select code from up union select code from down`;

export async function familyRolls(db: Knex, starts: readonly string[]): Promise<FamilyRoll[]> {
  const family = await db.raw(FAMILY, [[...starts], [...starts]]);
  const { rows } = await db.raw(
    `select r.code, r.kind, r.item, r.lot, r.supplier, s.name as "supplierName", r.width_um as "widthUm",
       r.length_mm as "lengthMm", r.status, r.received_on as "receivedOn", o.code as "order", c.code as customer, c.name as "customerName", array(
         select v.made_of from movements v where v.roll = r.code and v.made_of is not null
         group by v.made_of having sum(v.length_mm) > 0 order by v.made_of) as parents
     from rolls r left join suppliers s on s.code = r.supplier
     left join order_lines o on o.code = r.order_line left join customers c on c.code = o.customer
     where r.code = any(?) order by r.code`,
    [family.rows.map(({ code }: { code: string }) => code)],
  );
  return rows;
}

const MADE = `
  select v.roll, v.made_of, sum(v.length_mm) as made_mm from movements v
  where v.made_of = any(?) group by v.roll, v.made_of having sum(v.length_mm) > 0`;

export interface FinishedSums {
  parents: FinishedOfParent[];
  /** One page of them. */
  orders: FinishedOfOrder[];
  orderCount: number;
  customerCount: number;
}

/** Finished rolls of these parents, counted by parent and customer and, page by page, by order. Read once. */
export async function finishedSums(
  db: Knex,
  parents: readonly string[],
  { page, pageSize }: { page: number; pageSize: number },
): Promise<FinishedSums> {
  const { rows } = await db.raw(
    `with finished as materialized (
       select m.made_of, m.made_mm, r.order_line, r.item, r.width_um, r.status
       from (${MADE}) m join rolls r on r.code = m.roll and r.kind = 'finished'),
     by_parent as (
       select f.made_of as parent, o.customer, c.name as "customerName", sum(f.rolls)::int as rolls
       from (select made_of, order_line, count(*) as rolls from finished group by 1, 2) f
       left join order_lines o on o.code = f.order_line left join customers c on c.code = o.customer group by 1, 2, 3),
     by_order as (
       select f.order_line as "order", o.customer, c.name as "customerName", f.item as product, f.width_um as "widthUm",
         f.rolls, f.made_mm as "madeMm", f.dispatched, f.released, f.rolls - f.dispatched - f.released as held
       from (select order_line, item, width_um, count(*) as rolls, sum(made_mm) as made_mm,
           count(*) filter (where status = 'dispatched') as dispatched,
           count(*) filter (where status = 'released') as released from finished group by 1, 2, 3) f
       left join order_lines o on o.code = f.order_line left join customers c on c.code = o.customer)
     select
       (select coalesce(json_agg(p order by p.parent, p.rolls desc, p.customer), '[]') from by_parent p) as parents,
       (select coalesce(json_agg(o), '[]') from (select * from by_order
         order by "customerName" nulls last, "order" nulls last, product, "widthUm" limit ? offset ?) o) as orders,
       (select count(*) from by_order) as "orderCount",
       (select count(distinct customer) from by_order) as "customerCount"`,
    [[...parents], pageSize, (page - 1) * pageSize],
  );
  return rows[0];
}

export interface FinishedInFamily {
  code: string;
  parent: string;
  widthUm: number;
  madeMm: number;
  status: string;
}

/** Single finished rolls of these parents for one order (null: for nobody): one page of them. */
export async function finishedForOrder(
  db: Knex,
  parents: readonly string[],
  order: string | null,
  { page, pageSize }: { page: number; pageSize: number },
): Promise<{ rows: FinishedInFamily[]; total: number }> {
  // An order has few rolls, so its rolls are looked up; those for nobody only among the children.
  const made =
    order === null
      ? MADE
      : `select v.roll, v.made_of, sum(v.length_mm) as made_mm from rolls r join movements v on v.roll = r.code
         where r.order_line = ? and v.made_of = any(?) group by v.roll, v.made_of having sum(v.length_mm) > 0`;
  const { rows } = await db.raw(
    `select r.code, m.made_of as parent, r.width_um as "widthUm", m.made_mm as "madeMm", r.status, count(*) over () as total
     from (${made}) m join rolls r on r.code = m.roll and r.kind = 'finished'
     where r.order_line is not distinct from ? order by r.code limit ? offset ?`,
    [...(order === null ? [] : [order]), [...parents], order, pageSize, (page - 1) * pageSize],
  );
  return { rows, total: rows[0]?.total ?? 0 };
}
