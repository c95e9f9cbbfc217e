// What the ledger and the receipts say of a supplier: when ordered film came, how wide and long it was against the order,
// and the bad places of his rolls that are still in the house. Widths whole um, lengths whole mm.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';

export interface LineReceived {
  purchaseOrder: string;
  line: number;
  grade: string;
  receivedOn: IsoDate;
  wantedOn: IsoDate | null;
  confirmedOn: IsoDate | null;
  rolls: number;
  orderedWidthUm: number;
  orderedLengthMm: number;
  /** Means over the rolls that came on this day. */
  widthUm: number;
  lengthMm: number;
  shortestMm: number;
  /** Rolls narrower and wider, shorter and longer than ordered. */
  narrower: number;
  wider: number;
  shorter: number;
  longer: number;
}

/** Rolls received against purchase orders, by line and day, the newest first; length as booked in when it came, and corrected since. */
export async function linesReceived(db: Knex, supplier: string): Promise<LineReceived[]> {
  return db('received_rolls as r')
    .join('receipts as e', 'e.entry', 'r.entry')
    .join('purchase_order_lines as l', (on) => {
      on.on('l.purchase_order', 'r.purchase_order').andOn('l.line', 'r.line');
    })
    .join('rolls as t', 't.code', 'r.roll')
    .joinRaw(
      `join lateral (select sum(m.length_mm)::float8 as length_mm from entries b
        join movements m on m.entry = b.id and (b.id = r.entry or b.corrects = r.entry)
        where m.roll = r.roll and m.side = 'in') m on true`,
    )
    .where('r.supplier', supplier)
    .groupBy('l.purchase_order', 'l.line', 'l.grade', 'e.received_on', 'l.wanted_on', 'l.confirmed_on')
    .groupBy('l.width_um', 'l.length_mm')
    .orderBy([{ column: 'e.received_on', order: 'desc' }, 'l.purchase_order', 'l.line'])
    .select('l.line', 'l.grade', {
      purchaseOrder: 'l.purchase_order',
      receivedOn: 'e.received_on',
      wantedOn: 'l.wanted_on',
      confirmedOn: 'l.confirmed_on',
      orderedWidthUm: 'l.width_um',
      orderedLengthMm: 'l.length_mm',
    })
    .select(
      db.raw(`count(*)::int as rolls, avg(t.width_um)::float8 as "widthUm", avg(m.length_mm)::float8 as "lengthMm",
        min(m.length_mm)::float8 as "shortestMm",
        count(*) filter (where t.width_um < l.width_um)::int as narrower,
        count(*) filter (where t.width_um > l.width_um)::int as wider,
        count(*) filter (where m.length_mm < l.length_mm)::int as shorter,
        count(*) filter (where m.length_mm > l.length_mm)::int as longer`),
    );
}

export interface Delivery {
  supplier: string;
  receivedOn: IsoDate;
  wantedOn: IsoDate;
  orderedOn: IsoDate | null;
  /** Of the offer that was ordered from, where one is named. */
  leadTimeDays: number | null;
}

/** Deliveries of all suppliers that had a day: each line of an order on each day on which some of it came. */
export async function deliveries(db: Knex): Promise<Delivery[]> {
  return db('received_rolls as r')
    .join('receipts as e', 'e.entry', 'r.entry')
    .join('purchase_order_lines as l', (on) => {
      on.on('l.purchase_order', 'r.purchase_order').andOn('l.line', 'r.line');
    })
    .join('purchase_orders as o', 'o.code', 'l.purchase_order')
    .leftJoin('offers as f', 'f.code', 'l.offer')
    .whereNotNull('l.wanted_on')
    .distinct('r.supplier', 'l.purchase_order', 'l.line', {
      receivedOn: 'e.received_on',
      wantedOn: 'l.wanted_on',
      orderedOn: 'o.ordered_on',
      leadTimeDays: 'f.lead_time_days',
    })
    .orderBy(['r.supplier', 'e.received_on', 'l.purchase_order', 'l.line']);
}

export interface BadPlacesOfGrade {
  grade: string;
  rolls: number;
  metres: number;
  joins: number;
  others: number;
}

const JOIN = "'(join|splice)'";
/** Places of a kind on a map that is stored as JSON. */
const onMap = (map: string, kind: string): string =>
  `(select count(*) from jsonb_array_elements(${map}) p where p ->> 'kind' ${kind} ${JOIN})`;
/** Places on the roll as it lies, and those on what was coated of it. */
const placesOf = (kind: string): string => `
  (select count(*) from roll_defects d where d.roll = t.code and d.kind ${kind} ${JOIN})
  + coalesce((select sum(${onMap('c.before', kind)} - ${onMap('c.after', kind)}) from map_changes c
    join entries e on e.id = c.entry and e.kind = 'coated' where c.roll = t.code
      and not exists (select 1 from entries u where u.corrects = e.id)), 0)`;

/** Bad places on the maps of this supplier's base film, used up or not, by grade; metres as they came in. */
export async function badPlacesOf(db: Knex, supplier: string): Promise<BadPlacesOfGrade[]> {
  return db('rolls as t')
    .joinRaw(
      `join lateral (select sum(m.length_mm)::float8 as length_mm from movements m
        where m.roll = t.code and m.side = 'in') came on came.length_mm > 0`,
    )
    .where({ 't.supplier': supplier, 't.kind': 'base' })
    .groupBy('t.grade')
    .orderBy('t.grade')
    .select('t.grade')
    .select(
      db.raw(`count(*)::int as rolls, sum(came.length_mm)::float8 / 1000 as metres,
        sum(${placesOf('~*')})::int as joins, sum(${placesOf('!~*')})::int as others`),
    );
}
