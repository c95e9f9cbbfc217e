// Goods receipts and the rolls that came with them.
import type { Knex } from 'knex';

export interface NewReceipt {
  entry: number;
  supplier: string;
  purchaseOrder: string | null;
  deliveryNote: string | null;
  receivedOn: string;
  tolerancePct: number;
}

export interface ReceivedRoll {
  roll: string;
  supplierRoll: string;
  line: number | null;
  diameterUm: number | null;
  coreOutsideUm: number | null;
  confirmed: readonly string[];
}

export async function insertReceipt(
  trx: Knex,
  receipt: NewReceipt,
  rolls: readonly ReceivedRoll[],
): Promise<void> {
  const { entry, supplier, purchaseOrder } = receipt;
  await trx('receipts').insert({
    entry,
    supplier,
    purchase_order: purchaseOrder,
    delivery_note: receipt.deliveryNote,
    received_on: receipt.receivedOn,
    tolerance_pct: receipt.tolerancePct,
  });
  await trx.batchInsert(
    'received_rolls',
    rolls.map((roll) => ({
      roll: roll.roll,
      entry,
      supplier,
      supplier_roll: roll.supplierRoll,
      purchase_order: purchaseOrder,
      line: roll.line,
      diameter_um: roll.diameterUm,
      core_outside_um: roll.coreOutsideUm,
      confirmed: roll.confirmed,
    })),
    500,
  );
}

/** Which of these numbers of a supplier have come in already: the roll they became, by the number in lower case. */
export async function receivedBefore(
  db: Knex,
  supplier: string,
  numbers: readonly string[],
): Promise<Map<string, string>> {
  const found = await db('received_rolls')
    .where({ supplier })
    .whereRaw('lower(supplier_roll) = any(?)', [numbers.map((number) => number.toLowerCase())])
    .select('roll', { number: db.raw('lower(supplier_roll)') });
  return new Map(found.map(({ number, roll }) => [number, roll]));
}

export interface ReceiptSeen extends Omit<NewReceipt, 'entry'> {
  entry: number;
  supplierName: string;
  by: string;
  at: Date;
  rolls: (ReceivedRoll & {
    item: string;
    widthUm: number;
    lengthMm: number;
    massKg: number | null;
    lot: string | null;
    location: string | null;
    status: string;
  })[];
}

const HEAD = {
  entry: 'c.entry',
  supplier: 'c.supplier',
  supplierName: 's.name',
  purchaseOrder: 'c.purchase_order',
  deliveryNote: 'c.delivery_note',
  receivedOn: 'c.received_on',
  tolerancePct: 'c.tolerance_pct',
  by: 'e.by_whom',
  at: 'e.at',
};

const heads = (db: Knex): Knex.QueryBuilder =>
  db('receipts as c')
    .join('entries as e', 'e.id', 'c.entry')
    .join('suppliers as s', 's.code', 'c.supplier')
    .select(HEAD);

/** What a receipt booked, and what corrected it; `v` is the received roll. */
const CAME = `entries e join movements m on m.entry = e.id and (e.id = v.entry or e.corrects = v.entry) and m.cause = 'received'`;

/** One receipt with its rolls as they came: length and mass are what came in, not what is left. */
export async function selectReceipt(db: Knex, entry: number): Promise<ReceiptSeen | undefined> {
  const head = await heads(db).where('c.entry', entry).first();
  if (!head) return undefined;
  const rolls = await db('received_rolls as v')
    .join('rolls as r', 'r.code', 'v.roll')
    .joinRaw(
      `join lateral (select sum(m.length_mm)::bigint as length_mm, sum(m.mass_mg) / 1e6 as mass_kg from ${CAME}
        where m.roll = v.roll) as came on true`,
    )
    .where('v.entry', entry)
    .orderBy('v.roll')
    .select({
      roll: 'v.roll',
      supplierRoll: 'v.supplier_roll',
      line: 'v.line',
      diameterUm: 'v.diameter_um',
      coreOutsideUm: 'v.core_outside_um',
      confirmed: 'v.confirmed',
      item: 'r.item',
      widthUm: 'r.width_um',
      lengthMm: 'came.length_mm',
      massKg: 'came.mass_kg',
      lot: 'r.lot',
      location: 'r.location',
      status: 'r.status',
    });
  return { ...head, rolls };
}

export interface ReceiptLine {
  entry: number;
  receivedOn: string;
  supplierName: string;
  purchaseOrder: string | null;
  deliveryNote: string | null;
  by: string;
  rolls: number;
}

/** The newest receipts; of one purchase order, where given. */
export async function latestReceipts(
  db: Knex,
  { purchaseOrder, most }: { purchaseOrder?: string; most: number },
): Promise<ReceiptLine[]> {
  const rows = heads(db)
    .select(db.raw('(select count(*)::int from received_rolls v where v.entry = c.entry) as rolls'))
    .orderBy('c.entry', 'desc')
    .limit(most);
  if (purchaseOrder !== undefined) rows.where('c.purchase_order', purchaseOrder);
  return rows;
}

export interface ReceivedSize {
  lengthMm: number;
  massKg: number | null;
  widthUm: number;
  lot: string | null;
}

/** The receipt by which a roll came in; undefined when it came in another way. */
export async function receivedAs(
  db: Knex,
  roll: string,
): Promise<{ entry: number; tolerancePct: number } | undefined> {
  return db('received_rolls as v')
    .join('receipts as c', 'c.entry', 'v.entry')
    .where('v.roll', roll)
    .first({ entry: 'c.entry', tolerancePct: 'c.tolerance_pct' });
}

/** Has anything but its receipt and corrections of that moved the roll, and was not taken back? */
export async function usedSinceReceived(db: Knex, roll: string, receipt: number): Promise<boolean> {
  const other = await db('movements as m')
    .join('entries as e', 'e.id', 'm.entry')
    .where('m.roll', roll)
    .whereNot('e.id', receipt)
    .where((q) => q.whereNull('e.corrects').orWhereNot('e.corrects', receipt))
    .havingRaw('sum(m.length_mm) <> 0 or sum(m.mass_mg) <> 0')
    .first(db.raw('count(*)'));
  return other !== undefined;
}

/** Width and lot as corrected. The worth followed the length already; it follows the mass, where known, else the area. */
export async function writeReceived(
  trx: Knex,
  roll: string,
  was: ReceivedSize,
  is: ReceivedSize,
): Promise<void> {
  const length = is.lengthMm / was.lengthMm;
  const share = was.massKg && is.massKg ? is.massKg / was.massKg / length : is.widthUm / was.widthUm;
  await trx('rolls')
    .where('code', roll)
    .update({
      width_um: is.widthUm,
      lot: is.lot,
      cost_per_roll: trx.raw('round(cost_per_roll * ?::numeric, 2)', [share]),
    });
}
