// Everything that the ledger knows of one roll: entries with its movements, changes of status and of its map, newest first.
import type { Knex } from 'knex';
import type { BadPlace } from '../domain/rollMap.ts';

export interface HistoryMovement {
  side: 'in' | 'out' | 'loss';
  cause: string;
  lengthMm: number;
  massMg: number;
  madeOf: string | null;
}

export interface HistoryEntry {
  id: number;
  kind: string;
  at: Date;
  by: string;
  reason: string | null;
  corrects: number | null;
  details: Record<string, unknown>;
  movements: HistoryMovement[];
  statuses: { was: string | null; becomes: string }[];
  map: { before: BadPlace[]; after: BadPlace[] } | null;
  /** Rolls that the entry made of it: how many, and the first few. */
  made: { many: number; first: string[] };
}

const ENTRIES = `
  select e.id, e.kind, e.at, e.by_whom as by, e.reason, e.corrects, e.details,
    coalesce((select json_agg(json_build_object('side', side, 'cause', cause, 'lengthMm', length_mm,
        'massMg', mass_mg, 'madeOf', made_of) order by id) from movements where entry = e.id and roll = :roll), '[]') as movements,
    coalesce((select json_agg(json_build_object('was', was, 'becomes', becomes) order by id)
      from status_changes where entry = e.id and roll = :roll), '[]') as statuses,
    (select json_build_object('before', before, 'after', after) from map_changes
      where entry = e.id and roll = :roll) as map,
    (select json_build_object('many', count(*), 'first', coalesce((array_agg(roll order by roll))[1:4], '{}'))
      from (select distinct roll from movements where entry = e.id and made_of = :roll) as children) as made
  from entries e
  where e.id in (
    select entry from movements where roll = :roll
    union select entry from status_changes where roll = :roll
    union select entry from map_changes where roll = :roll
    order by entry desc limit :most)
  order by e.id desc`;

export async function historyOf(db: Knex, roll: string, most: number): Promise<HistoryEntry[]> {
  const { rows } = await db.raw(ENTRIES, { roll, most });
  return rows;
}
