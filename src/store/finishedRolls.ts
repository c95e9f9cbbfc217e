// Rows of rolls as the machine writes them: finished rolls made, maps that follow what was cut, a roll that becomes a
// stub. Lengths and masses are not written here: they go through the ledger.
import type { Knex } from 'knex';
import type { BadPlace } from '../domain/rollMap.ts';
import { bookWrittenRolls } from './ledger.ts';

export interface NewFinished {
  code: string;
  item: string;
  widthUm: number;
  order: string | undefined;
  splices: number;
  status: 'released' | 'on hold';
  costPerRoll: number | null;
  note: string | undefined;
  places: readonly BadPlace[];
  /** The entry that makes it. */
  entry: number;
}

/** What all rolls made of one parent share with it. */
export interface Inherited {
  lot: string | null;
  supplier: string | null;
  useBy: string | null;
  madeOn: string;
}

/** Holds these rolls until the end of the transaction, in the order of their codes. */
export async function lockRolls(trx: Knex, codes: readonly string[]): Promise<void> {
  await trx('rolls').whereIn('code', codes).orderByRaw('lower(code) collate "C"').forUpdate().select('code');
}

/** The next numbers of finished rolls: F0000001, ... */
export async function nextFinishedCodes(trx: Knex, many: number): Promise<string[]> {
  const { rows } = await trx.raw(
    `select 'F' || lpad(nextval('finished_roll_numbers')::text, 7, '0') as code from generate_series(1, ?)`,
    [many],
  );
  return rows.map(({ code }: { code: string }) => code);
}

/** Inserts finished rolls without length, with their map and first status; their metres come by movements. */
export async function insertFinished(
  trx: Knex,
  rolls: readonly NewFinished[],
  from: Inherited,
): Promise<void> {
  if (rolls.length === 0) return;
  const cores = await trx('products')
    .whereIn('code', [...new Set(rolls.map((roll) => roll.item))])
    .select('code', 'core_inside_um');
  const coreOf = new Map(cores.map((row) => [row.code, row.core_inside_um]));
  await trx.batchInsert(
    'rolls',
    rolls.map(({ code, item, widthUm, order, splices, status, costPerRoll, note }) => ({
      code,
      kind: 'finished',
      item,
      width_um: widthUm,
      length_mm: 0,
      core_inside_um: coreOf.get(item) ?? null,
      lot: from.lot,
      supplier: from.supplier,
      received_on: from.madeOn,
      use_by: from.useBy,
      status,
      cost_per_roll: costPerRoll,
      order_line: order ?? null,
      splices,
      note: note ?? null,
    })),
    500,
  );
  const places = rolls.flatMap((roll) =>
    roll.places.map((place, position) => placeRow(roll.code, place, position)),
  );
  if (places.length > 0) await trx.batchInsert('roll_defects', places, 500);
  for (const [entry, codes] of byEntry(rolls)) await bookWrittenRolls(trx, entry, codes);
}

function byEntry(rolls: readonly NewFinished[]): Map<number, string[]> {
  const groups = new Map<number, string[]>();
  for (const { entry, code } of rolls) groups.set(entry, [...(groups.get(entry) ?? []), code]);
  return groups;
}

const placeRow = (roll: string, { fromMm, toMm, fromUm, toUm, kind }: BadPlace, position: number) => ({
  roll,
  position,
  from_mm: fromMm,
  to_mm: toMm,
  from_um: fromUm,
  to_um: toUm,
  kind,
});

/** Replaces the map of a roll. */
export async function writeMap(trx: Knex, roll: string, places: readonly BadPlace[]): Promise<void> {
  await trx('roll_defects').where({ roll }).delete();
  if (places.length > 0)
    await trx('roll_defects').insert(places.map((place, position) => placeRow(roll, place, position)));
}

export async function writeKind(trx: Knex, roll: string, kind: 'coated' | 'stub'): Promise<void> {
  await trx('rolls').where('code', roll).update({ kind });
}

/** The order that a finished roll is for, and the entry that made it. */
export async function originOf(
  db: Knex,
  roll: string,
): Promise<{ order: string | null; entry: number; madeOf: string; madeMm: number } | undefined> {
  return db('movements as m')
    .join('rolls as r', 'r.code', 'm.roll')
    .where('m.roll', roll)
    .whereNotNull('m.made_of')
    .orderBy('m.id')
    .first({ order: 'r.order_line', entry: 'm.entry', madeOf: 'm.made_of', madeMm: 'm.length_mm' });
}
