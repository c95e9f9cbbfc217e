// Packages: what is in them, what waits to be packed, what was sent. Lengths whole mm, masses in kg.
import type { Knex } from 'knex';
import { sscc } from '../domain/gs1.ts';

export type PackageStatus = 'open' | 'dispatched' | 'undone';

export interface Package {
  sscc: string;
  customer: string;
  customerName: string;
  status: PackageStatus;
  entry: number;
  ended: number | null;
}

export interface RollToPack {
  code: string;
  order: string | null;
  customer: string | null;
  kind: string;
  item: string;
  status: string;
  widthUm: number;
  lengthMm: number;
  massKg: number | null;
  lot: string | null;
  useBy: string | null;
  splices: number;
  coreInsideUm: number | null;
  itemNumber: number | null;
  /** The package it is in now, and who packed it. */
  package: string | null;
  packedBy: string | null;
}

const PACKAGE = {
  sscc: 'p.sscc',
  customer: 'p.customer',
  customerName: 'c.name',
  status: 'p.status',
  entry: 'p.entry',
  ended: 'p.ended',
};
const packagesWith = (db: Knex) =>
  db('packages as p').join('customers as c', 'c.code', 'p.customer').select(PACKAGE);

/** These packages in the order of their numbers; `lock` holds them until the end of the transaction. */
export async function findPackages(db: Knex, ssccs: readonly string[], lock?: 'lock'): Promise<Package[]> {
  const rows = packagesWith(db).whereIn('p.sscc', ssccs).orderBy('p.sscc');
  return lock ? rows.forUpdate('p') : rows;
}

export async function packageOfEntry(db: Knex, entry: number): Promise<string | undefined> {
  return (await db('package_rolls').where('packed', entry).first('package'))?.package;
}

/** A new package for a customer; its number is never given twice. */
export async function insertPackage(
  trx: Knex,
  { customer, entry, companyPrefix }: { customer: string; entry: number; companyPrefix: string },
): Promise<string> {
  const { rows } = await trx.raw(`select nextval('package_numbers') as serial`);
  const code = sscc(companyPrefix, rows[0].serial);
  await trx('packages').insert({ sscc: code, customer, entry });
  return code;
}

export async function putIn(trx: Knex, into: string, rolls: readonly string[], entry: number): Promise<void> {
  await trx.batchInsert(
    'package_rolls',
    rolls.map((roll) => ({ package: into, roll, packed: entry })),
  );
}

export async function takeOut(trx: Knex, rolls: readonly string[], entry: number): Promise<void> {
  await trx('package_rolls').whereIn('roll', rolls).whereNull('taken_out').update({ taken_out: entry });
}

export async function endPackages(
  trx: Knex,
  ssccs: readonly string[],
  status: 'dispatched' | 'undone',
  entry: number,
): Promise<void> {
  await trx('packages').whereIn('sscc', ssccs).update({ status, ended: entry });
}

const rollsWith = (db: Knex) =>
  db('rolls as r')
    .leftJoin('order_lines as o', 'o.code', 'r.order_line')
    .leftJoin('products as d', 'd.code', 'r.product')
    .leftJoin('package_rolls as i', (on) => on.on('i.roll', 'r.code').andOnNull('i.taken_out'))
    .leftJoin('entries as e', 'e.id', 'i.packed')
    .select({
      code: 'r.code',
      order: 'r.order_line',
      customer: 'o.customer',
      kind: 'r.kind',
      item: 'r.item',
      status: 'r.status',
      widthUm: 'r.width_um',
      lengthMm: 'r.length_mm',
      massKg: 'r.mass_kg',
      lot: 'r.lot',
      useBy: 'r.use_by',
      splices: 'r.splices',
      coreInsideUm: 'r.core_inside_um',
      itemNumber: 'd.item_number',
      package: 'i.package',
      packedBy: 'e.by_whom',
    });

/** Rolls by their codes as they are spelt, in that order; `lock` holds them until the end of the transaction. */
export async function rollsToPack(db: Knex, codes: readonly string[], lock?: 'lock'): Promise<RollToPack[]> {
  // Locked first, so that what is read beside them is what the one before has left.
  if (lock)
    await db('rolls').whereIn('code', codes).orderByRaw('lower(code) collate "C"').forUpdate().select('code');
  return rollsWith(db).whereIn('r.code', codes).orderBy('r.code');
}

/** What is in these packages, or was when they were sent. */
export async function rollsIn(db: Knex, ssccs: readonly string[]): Promise<RollToPack[]> {
  return rollsWith(db).whereIn('i.package', ssccs).orderBy(['i.package', 'r.order_line', 'r.code']);
}

/** Finished rolls in the house that may be packed for an order: made for it, or for the shelf and just as wide and long. */
export async function readyFor(db: Knex, order: string, most: number): Promise<RollToPack[]> {
  return rollsWith(db)
    .where({ 'r.kind': 'finished', 'r.status': 'released' })
    .whereNull('i.package')
    .whereExists((fits) =>
      fits
        .from('order_lines as w')
        .where('w.code', order)
        .whereRaw('w.product = r.product and w.width_um = r.width_um and r.length_mm >= w.length_mm')
        .where((whose) =>
          whose
            .whereRaw('r.order_line = w.code')
            .orWhereRaw('r.order_line is null and r.length_mm = w.length_mm'),
        ),
    )
    .orderByRaw('r.order_line is null, r.use_by nulls last, r.code')
    .limit(most);
}

/** Makes rolls of the shelf rolls of an order. */
export async function giveToOrder(trx: Knex, rolls: readonly string[], order: string): Promise<void> {
  await trx('rolls').whereIn('code', rolls).whereNull('order_line').update({ order_line: order });
}
