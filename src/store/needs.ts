// What waits for somebody: orders by date, rolls and stubs to see to. Lists are cut to what a page names; their totals
// count every row.
import type { Knex } from 'knex';
import { notReserved } from './releases.ts';

export interface OrderDue {
  code: string;
  customer: string;
  customerName: string;
  product: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  dueOn: string;
  priority: string;
  status: string;
}

/** Orders not done and due up to a day, the earliest first. */
export async function ordersDueUpTo(db: Knex, day: string): Promise<OrderDue[]> {
  return db('order_lines as o')
    .join('customers as c', 'c.code', 'o.customer')
    .whereIn('o.status', ['open', 'planned'])
    .where('o.due_on', '<=', day)
    .orderBy(['o.due_on', 'o.code'])
    .select({
      code: 'o.code',
      customer: 'o.customer',
      customerName: 'c.name',
      product: 'o.product',
      widthUm: 'o.width_um',
      lengthMm: 'o.length_mm',
      rolls: 'o.rolls',
      dueOn: 'o.due_on',
      priority: 'o.priority',
      status: 'o.status',
    });
}

export interface RollToSee {
  code: string;
  kind: 'coated' | 'stub' | 'base';
  item: string;
  status: string;
  widthUm: number;
  lengthMm: number;
  useBy: string | null;
  note: string | null;
}

/** The first few of some rows, and how many there are in all. */
export interface Some<T> {
  total: number;
  first: T[];
}

export interface RollsWanted {
  film: boolean;
  status?: 'on hold' | 'in quarantine';
  /** Use-by day on or after this one. */
  from?: string;
  /** Use-by day on or before this one. */
  upTo?: string;
}

const IN_HOUSE = ['in quarantine', 'released', 'on hold'];
const SEEN = { widthUm: 'width_um', lengthMm: 'length_mm', useBy: 'use_by' };

/** Rolls in the house, film or coated, of a status or a span of use-by days; the soonest use-by first. */
export async function rollsToSee(db: Knex, wanted: RollsWanted, most: number): Promise<Some<RollToSee>> {
  const rows = db('rolls').whereIn('status', IN_HOUSE);
  if (wanted.film) rows.where('kind', 'base');
  else rows.whereIn('kind', ['coated', 'stub']);
  if (wanted.status) rows.where('status', wanted.status);
  if (wanted.from) rows.where('use_by', '>=', wanted.from);
  if (wanted.upTo) rows.where('use_by', '<=', wanted.upTo);
  const first = await rows
    .orderBy([{ column: 'use_by', nulls: 'last' }, 'code'])
    .limit(most)
    .select('code', 'kind', 'item', 'status', 'note', SEEN)
    .select(db.raw('count(*) over ()::int as total'));
  return { total: first[0]?.total ?? 0, first };
}

interface StubToUse extends RollToSee {
  /** Open orders of its product that are narrow and short enough for it. */
  fits: number;
}

/** Released stubs with the number of open orders that would fit on them; `useful` counts those that fit any. */
export async function stubsToUse(
  db: Knex,
  today: string,
  most: number,
): Promise<Some<StubToUse> & { useful: number }> {
  const fits = `(select count(*)::int from order_lines o where o.product = rolls.item and o.status = 'open'
    and o.width_um <= rolls.width_um and o.length_mm <= rolls.length_mm) as fits`;
  const stubs = notReserved(db('rolls'), 'rolls.code')
    .where({ kind: 'stub', status: 'released' })
    .where((q) => q.whereNull('use_by').orWhere('use_by', '>=', today))
    .select('code', 'kind', 'item', 'status', 'note', SEEN)
    .select(db.raw(fits));
  const first = await db
    .from(stubs.as('stubs'))
    .orderBy([{ column: 'useBy', nulls: 'last' }, 'code'])
    .limit(most)
    .select('*')
    .select(
      db.raw('count(*) over ()::int as total, count(*) filter (where fits > 0) over ()::int as useful'),
    );
  return { total: first[0]?.total ?? 0, useful: first[0]?.useful ?? 0, first };
}

/** Is there any roll, any order? A plant that has just started needs other advice. */
export async function anythingYet(db: Knex): Promise<{ rolls: boolean; orders: boolean }> {
  const { rows } = await db.raw(
    'select exists(select 1 from rolls) as rolls, exists(select 1 from order_lines) as orders',
  );
  return rows[0];
}

/** Rolls of one product that are neither used up nor at the machine, with their size and status; the soonest use-by first. */
export async function rollsOfProduct(db: Knex, product: string): Promise<RollToSee[]> {
  return notReserved(db('rolls'), 'rolls.code')
    .where({ item: product })
    .whereIn('kind', ['coated', 'stub'])
    .whereNot('status', 'used up')
    .orderBy([{ column: 'use_by', nulls: 'last' }, 'code'])
    .limit(500)
    .select('code', 'kind', 'item', 'status', 'note', {
      widthUm: 'width_um',
      lengthMm: 'length_mm',
      useBy: 'use_by',
    });
}
