// What happened to rolls at the machine: one recording for each set and for the end of a roll, each with its entry in
// the ledger. Nothing is changed but the mark that a recording was undone, by which entry. Lengths whole mm.
import type { Knex } from 'knex';
import type { BadPlace } from '../domain/rollMap.ts';

/** How a roll was before a recording. */
export interface RollBefore {
  places: readonly BadPlace[];
  kind: 'coated' | 'stub';
  status: string;
}

export type RecordingKind = 'set' | 'lost set' | 'end';

export interface Recording {
  entry: number;
  release: number;
  /** Null at the end of a roll. */
  sequence: number | null;
  roll: string;
  what: RecordingKind;
  /** The stretch it took: from here, counted from the inner end, so much towards the outer end. */
  fromInnerMm: number;
  usedMm: number;
  before: RollBefore;
  undoneBy: number | null;
}

export interface RecordingSeen extends Recording {
  at: Date;
  by: string;
  reason: string | null;
  details: Readonly<Record<string, unknown>>;
}

const COLUMNS = {
  entry: 'c.entry',
  release: 'c.release',
  sequence: 'c.sequence',
  roll: 'c.roll',
  what: 'c.what',
  fromInnerMm: 'c.from_inner_mm',
  usedMm: 'c.used_mm',
  before: 'c.before',
  undoneBy: 'c.undone_by',
};

export async function insertRecordings(
  trx: Knex,
  recordings: readonly Omit<Recording, 'undoneBy'>[],
): Promise<void> {
  await trx.batchInsert(
    'recordings',
    recordings.map(({ fromInnerMm, usedMm, before, ...rest }) => ({
      ...rest,
      before: JSON.stringify(before),
      from_inner_mm: fromInnerMm,
      used_mm: usedMm,
    })),
    500,
  );
}

const seen = (db: Knex) =>
  db('recordings as c')
    .join('entries as e', 'e.id', 'c.entry')
    .select(COLUMNS)
    .select({ at: 'e.at', by: 'e.by_whom', reason: 'e.reason', details: 'e.details' });

/** Everything recorded under a release, undone things too, in the order in which it was entered. */
export async function recordingsOf(db: Knex, releases: readonly number[]): Promise<RecordingSeen[]> {
  return seen(db).whereIn('c.release', releases).orderBy('c.entry');
}

/** The newest recording of a roll that still stands, under any release. */
export async function latestOfRoll(db: Knex, roll: string): Promise<RecordingSeen | undefined> {
  return seen(db).where('c.roll', roll).whereNull('c.undone_by').orderBy('c.entry', 'desc').first();
}

export async function markUndone(trx: Knex, entry: number, undoneBy: number): Promise<void> {
  await trx('recordings').where({ entry }).update({ undone_by: undoneBy });
}

/** Metres taken of each roll since it was released, by its code. */
export async function usedSinceRelease(db: Knex, release: number): Promise<Map<string, number>> {
  const rows = await db('recordings')
    .where({ release })
    .whereNull('undone_by')
    .whereNot('what', 'end')
    .groupBy('roll')
    .select('roll', db.raw('sum(used_mm)::bigint as used_mm'));
  return new Map(rows.map((row) => [row.roll, row.used_mm]));
}

export interface MovementSeen {
  entry: number;
  roll: string;
  side: 'in' | 'out' | 'loss';
  cause: string;
  lengthMm: number;
  massMg: number;
  madeOf: string | null;
}

const MOVED = {
  entry: 'entry',
  roll: 'roll',
  side: 'side',
  cause: 'cause',
  lengthMm: 'length_mm',
  massMg: 'mass_mg',
  madeOf: 'made_of',
};

export async function movementsOf(db: Knex, entries: readonly number[]): Promise<MovementSeen[]> {
  return db('movements').whereIn('entry', entries).orderBy('id').select(MOVED);
}

/** Rolls among these whose length or mass is another since this entry; what was taken back in full counts for nothing. */
export async function movedSince(db: Knex, rolls: readonly string[], entry: number): Promise<string[]> {
  return db('movements')
    .whereIn('roll', rolls)
    .where('entry', '>', entry)
    .groupBy('roll')
    .havingRaw('sum(length_mm) <> 0 or sum(mass_mg) <> 0')
    .orderBy('roll')
    .pluck('roll');
}

/** Rolls among these that have changed since this entry made them: length, mass or status. */
export async function changedSince(db: Knex, rolls: readonly string[], entry: number): Promise<string[]> {
  const moved = await movedSince(db, rolls, entry);
  const held = await db('status_changes')
    .whereIn('roll', rolls)
    .where('entry', '>', entry)
    .distinct()
    .pluck('roll');
  return [...new Set([...moved, ...held])].sort();
}

/** Finished rolls that entries made, with how they stand now. */
export interface FinishedRoll {
  code: string;
  entry: number;
  order: string | null;
  widthUm: number;
  lengthMm: number;
  status: string;
  splices: number;
}

export async function finishedOf(db: Knex, entries: readonly number[]): Promise<FinishedRoll[]> {
  return db('movements as m')
    .join('rolls as r', 'r.code', 'm.roll')
    .whereIn('m.entry', entries)
    .whereNotNull('m.made_of')
    .where('m.length_mm', '>', 0)
    .orderBy('m.id')
    .select({
      code: 'r.code',
      entry: 'm.entry',
      order: 'r.order_line',
      widthUm: 'r.width_um',
      lengthMm: 'r.length_mm',
      status: 'r.status',
      splices: 'r.splices',
    });
}
