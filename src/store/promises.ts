// Promises and what they reserve: whole orders, quotes that are held for a time, the rolls that the answer's plan takes
// for them. A quote past its time holds nothing, whether or not somebody has swept it up. Lengths whole mm.
import type { Knex } from 'knex';
import type { SalesState } from '../domain/answer.ts';
import type { IsoDate } from '../domain/units.ts';

export type PromiseKind = 'order' | 'quote';

export interface NewPromise {
  order: string;
  kind: PromiseKind;
  by: string;
  requestKey: string;
  state: string;
  question: string;
  rolls: number;
  promisedOn: IsoDate | undefined;
  /** Hours that a quote is held. */
  hours: number;
  reserved: readonly { roll: string; lengthMm: number }[];
}

export interface StoredPromise {
  id: number;
  order: string;
  kind: PromiseKind;
  by: string;
  at: Date;
  state: string;
  rolls: number;
  promisedOn: IsoDate | null;
  until: Date | null;
  ended: 'withdrawn' | 'lapsed' | null;
}

/** A promise that still binds: an order that is not done or cancelled, or a quote within its time. */
const BINDS = `(p.ended is null and (p.until is null or p.until > now())
  and o.status in ('quoted', 'open', 'planned', 'made'))`;
const COLUMNS = {
  id: 'p.id',
  order: 'p.order_line',
  kind: 'p.kind',
  by: 'p.by_whom',
  at: 'p.at',
  state: 'p.state',
  rolls: 'p.rolls',
  promisedOn: 'p.promised_on',
  until: 'p.until',
  ended: 'p.ended',
};

/** One promise at a time for a product and the film that it shares: the second waits for the first to be written. */
export async function lockForPromise(trx: Knex, names: readonly string[]): Promise<void> {
  for (const name of [...new Set(names)].sort())
    await trx.raw('select pg_advisory_xact_lock(hashtextextended(?, 5))', [`promise ${name}`]);
}

/** Writes a promise with its rolls. @returns its number. */
export async function insertPromise(trx: Knex, one: NewPromise): Promise<number> {
  const [row] = await trx('promises')
    .insert({
      order_line: one.order,
      kind: one.kind,
      by_whom: one.by,
      request_key: one.requestKey,
      state: one.state,
      question: one.question,
      rolls: one.rolls,
      promised_on: one.promisedOn ?? null,
      until: one.kind === 'quote' ? trx.raw("now() + ? * interval '1 hour'", [one.hours]) : null,
    })
    .returning('id');
  await insertReserved(trx, row.id, one.reserved);
  return row.id;
}

async function insertReserved(trx: Knex, promise: number, reserved: NewPromise['reserved']): Promise<void> {
  if (reserved.length === 0) return;
  await trx('promised_rolls').insert(
    reserved.map(({ roll, lengthMm }) => ({ promise, roll, length_mm: lengthMm })),
  );
}

/** Gives the promise of an order other rolls of film: a newer plan makes it from these. Finished rolls stay with it. */
export async function rewriteReserved(
  trx: Knex,
  order: string,
  reserved: NewPromise['reserved'],
): Promise<void> {
  const promise = await trx('promises').where({ order_line: order }).first('id');
  if (!promise) return;
  await trx('promised_rolls')
    .where({ promise: promise.id })
    .whereNotIn('roll', trx('rolls').where('kind', 'finished').select('code'))
    .delete();
  await insertReserved(trx, promise.id, reserved);
}

/** What was promised under this key of a form already. */
export async function promisesOfRequest(db: Knex, requestKey: string): Promise<StoredPromise[]> {
  return db('promises as p').where({ request_key: requestKey }).orderBy('p.id').select(COLUMNS);
}

export async function findPromise(
  trx: Knex,
  order: string,
  lock = false,
): Promise<StoredPromise | undefined> {
  const row = trx('promises as p').where('p.order_line', order).first(COLUMNS);
  return lock ? row.forUpdate() : row;
}

/** Is the time of a quote not over yet, by the clock of the database? */
export async function isHeld(trx: Knex, order: string): Promise<boolean> {
  const row = await trx('promises')
    .where({ order_line: order })
    .whereNull('ended')
    .whereRaw('until > now()')
    .first('id');
  return row !== undefined;
}

export async function makeOrderOfQuote(trx: Knex, order: string): Promise<void> {
  await trx('promises').where({ order_line: order }).update({ kind: 'order', until: null });
  await trx('order_lines').where({ code: order }).update({ status: 'open' });
}

export async function endQuote(trx: Knex, order: string, ended: 'withdrawn' | 'lapsed'): Promise<void> {
  await trx('promises').where({ order_line: order }).update({ ended, ended_at: trx.fn.now() });
  await trx('order_lines').where({ code: order, status: 'quoted' }).update({ status: 'cancelled' });
}

/** Quotes past their time become cancelled lines. @returns their orders. */
export async function lapseQuotes(trx: Knex): Promise<string[]> {
  const rows = await trx('promises')
    .where('kind', 'quote')
    .whereNull('ended')
    .whereRaw('until <= now()')
    .update({ ended: 'lapsed', ended_at: trx.raw('until') })
    .returning('order_line');
  const orders = rows.map(({ order_line }: { order_line: string }) => order_line);
  if (orders.length > 0)
    await trx('order_lines')
      .whereIn('code', orders)
      .where('status', 'quoted')
      .update({ status: 'cancelled' });
  return orders;
}

/** Base film that promises hold, by product. */
export async function promisedFilm(db: Knex): Promise<{ product: string; roll: string }[]> {
  return db('promised_rolls as h')
    .join('promises as p', 'p.id', 'h.promise')
    .join('order_lines as o', 'o.code', 'p.order_line')
    .join('rolls as r', 'r.code', 'h.roll')
    .whereRaw(BINDS)
    .where('r.kind', 'base')
    .orderBy(['o.product', 'h.roll'])
    .distinct('o.product', 'h.roll')
    .select('o.product', 'h.roll');
}

/** A promise that binds now, with the rolls that are noted down for it. */
export interface Reservation {
  order: string;
  kind: PromiseKind;
  product: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  customerName: string;
  promisedOn: string | null;
  until: Date | null;
  by: string;
  takes: { roll: string; lengthMm: number }[];
}

/** Promises that bind now: of an order, of a roll, or of a kind; by product and order. */
export async function reservations(
  db: Knex,
  among: { order?: string; roll?: string; kind?: PromiseKind },
): Promise<Reservation[]> {
  const rows = db('promises as p')
    .join('order_lines as o', 'o.code', 'p.order_line')
    .join('customers as c', 'c.code', 'o.customer')
    .whereRaw(BINDS)
    .orderBy(['o.product', 'o.code'])
    .limit(MOST_RESERVATIONS)
    .select({
      order: 'p.order_line',
      kind: 'p.kind',
      product: 'o.product',
      widthUm: 'o.width_um',
      lengthMm: 'o.length_mm',
      rolls: 'p.rolls',
      customerName: 'c.name',
      promisedOn: 'p.promised_on',
      until: 'p.until',
      by: 'p.by_whom',
      takes:
        db.raw(`(select coalesce(json_agg(json_build_object('roll', h.roll, 'lengthMm', h.length_mm) order by h.roll), '[]')
        from promised_rolls h where h.promise = p.id)`),
    });
  const { order, roll, kind } = among;
  if (order !== undefined) rows.where('p.order_line', order);
  if (kind !== undefined) rows.where('p.kind', kind);
  if (roll !== undefined)
    rows.whereExists((held) =>
      held.from('promised_rolls as x').whereRaw('x.promise = p.id').where('x.roll', roll).select('x.roll'),
    );
  return rows;
}
const MOST_RESERVATIONS = 200;

/** Finished rolls of a product that are released, in time, ordered by nobody and reserved for nobody. */
export async function freeFinishedRolls(
  db: Knex,
  product: string,
  today: IsoDate,
): Promise<SalesState['finished']> {
  return db('rolls as r')
    .where({ 'r.kind': 'finished', 'r.item': product, 'r.status': 'released' })
    .whereNull('r.order_line')
    .where((day) => day.whereNull('r.use_by').orWhere('r.use_by', '>=', today))
    .whereNotExists((held) =>
      held
        .from('promised_rolls as h')
        .join('promises as p', 'p.id', 'h.promise')
        .join('order_lines as o', 'o.code', 'p.order_line')
        .whereRaw(`h.roll = r.code and ${BINDS}`)
        .select('h.roll'),
    )
    .orderByRaw('r.use_by nulls last, r.code')
    .select({ code: 'r.code', widthUm: 'r.width_um', lengthMm: 'r.length_mm' });
}

/** Puts finished rolls to an order. @returns how many; fewer than given when somebody else has one of them. */
export async function giveFinished(trx: Knex, order: string, rolls: readonly string[]): Promise<number> {
  return trx('rolls')
    .whereIn('code', rolls)
    .where({ kind: 'finished', status: 'released' })
    .whereNull('order_line')
    .update({ order_line: order });
}

/** Finished rolls that a promise reserves. */
export async function finishedOfPromise(trx: Knex, order: string): Promise<string[]> {
  return trx('promised_rolls as h')
    .join('promises as p', 'p.id', 'h.promise')
    .join('rolls as r', 'r.code', 'h.roll')
    .where({ 'p.order_line': order, 'r.kind': 'finished' })
    .orderBy('h.roll')
    .pluck('h.roll');
}

/** The largest number of the codes SO-1, SO-2, ...; for the next one. */
export async function largestOrderNumber(db: Knex): Promise<number> {
  const { rows } = await db.raw(
    "select coalesce(max(substring(code from '^SO-(\\d{1,9})$')::bigint), 0) as most from order_lines",
  );
  return Number(rows[0].most);
}
