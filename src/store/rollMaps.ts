// Changes of roll maps in the ledger: who changed what, and what the map was before.
import type { Knex } from 'knex';
import { RESOURCES } from '../domain/resources.ts';
import type { BadPlace } from '../domain/rollMap.ts';
import { writeListed } from './tables.ts';

export interface MapChange {
  roll: string;
  before: readonly BadPlace[];
  after: readonly BadPlace[];
}

/** Books changes of maps that are written already; a map that stays as it was is passed over. */
export async function bookMaps(trx: Knex, entry: number, changes: readonly MapChange[]): Promise<void> {
  const changed = changes
    .map(({ roll, before, after }) => ({
      entry,
      roll,
      before: JSON.stringify(before),
      after: JSON.stringify(after),
    }))
    .filter(({ before, after }) => before !== after);
  if (changed.length > 0) await trx.batchInsert('map_changes', changed, 500);
}

/** The maps as they were before an entry changed them, by roll. */
export async function mapsBefore(db: Knex, entry: number): Promise<Map<string, BadPlace[]>> {
  const rows = await db('map_changes').where({ entry }).select('roll', 'before');
  return new Map(rows.map(({ roll, before }) => [roll, before]));
}

/** Replaces the map of a roll. */
export async function writeMap(trx: Knex, roll: string, places: readonly BadPlace[]): Promise<void> {
  await writeListed(trx, RESOURCES.rolls, [{ code: roll, rollMap: places }]);
}
