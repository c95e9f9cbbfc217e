// Releases of plans to the machine, their runs and the rolls they hold: written and read. Lengths whole mm.
import type { Knex } from 'knex';
import type { Run } from '../domain/plan.ts';

export type ReleaseStatus = 'at the machine' | 'withdrawn' | 'finished';
export type RunStatus = 'waiting' | 'being cut' | 'done' | 'withdrawn';

export interface ReleasedRun {
  release: number;
  sequence: number;
  slitter: string;
  product: string;
  lengthMm: number;
  setsPlanned: number;
  setsCut: number;
  status: RunStatus;
  /** As it was planned. */
  run: Run;
}

export interface ReleasedRoll {
  roll: string;
  /** When it was released: metre counts begin at this outer end. */
  lengthMm: number;
  active: boolean;
}

export interface Release {
  id: number;
  plan: number;
  by: string;
  at: Date;
  status: ReleaseStatus;
}

const HEAD = { id: 'id', plan: 'plan', by: 'by_whom', at: 'at', status: 'status' };
const RUN = {
  release: 'release',
  sequence: 'sequence',
  slitter: 'slitter',
  product: 'product',
  lengthMm: 'length_mm',
  setsPlanned: 'sets_planned',
  setsCut: 'sets_cut',
  status: 'status',
  run: 'run',
};

export interface NewRelease {
  plan: number;
  entry: number;
  by: string;
  runs: readonly Run[];
  rolls: readonly { roll: string; lengthMm: number }[];
}

/** Stores a release; the database refuses a roll that another active release holds. @returns its number. */
export async function insertRelease(
  trx: Knex,
  { plan, entry, by, runs, rolls }: NewRelease,
): Promise<number> {
  const at = trx('entries').where('id', entry).select('at');
  const [row] = await trx('releases').insert({ plan, entry, by_whom: by, at }).returning('id');
  const release = row.id as number;
  await trx('released_runs').insert(
    runs.map((run) => ({
      release,
      sequence: run.sequence,
      slitter: run.slitter,
      product: run.product,
      length_mm: Math.round(run.lengthM * 1000),
      sets_planned: run.sets,
      run: JSON.stringify(run),
    })),
  );
  const strips = runs.flatMap((run) =>
    [...stripsOf(run)].map(([order_line, n]) => ({ release, sequence: run.sequence, order_line, strips: n })),
  );
  if (strips.length > 0) await trx('released_strips').insert(strips);
  await trx('released_rolls').insert(
    rolls.map(({ roll, lengthMm }) => ({ release, roll, length_mm: lengthMm })),
  );
  return release;
}

/** Strips of one set by order. */
function stripsOf(run: Pick<Run, 'strips'>): Map<string, number> {
  const strips = new Map<string, number>();
  for (const { order } of run.strips)
    if (order !== undefined) strips.set(order, (strips.get(order) ?? 0) + 1);
  return strips;
}

/** The release that an entry made. */
export async function releaseOfEntry(db: Knex, entry: number): Promise<number | undefined> {
  return (await db('releases').where({ entry }).first('id'))?.id;
}

/** One release; `lock` holds it until the end of the transaction. */
export async function findRelease(db: Knex, id: number, lock?: 'lock'): Promise<Release | undefined> {
  const row = db('releases').where({ id }).first(HEAD);
  return lock ? row.forUpdate() : row;
}

/** Releases at the machine, or of one plan, the oldest first. */
export async function findReleases(
  db: Knex,
  of: { plan?: number; status?: ReleaseStatus },
): Promise<Release[]> {
  return db('releases').where(of).orderBy('id').select(HEAD);
}

/** The newest releases whatever their status. */
export async function newestReleases(db: Knex, most: number): Promise<Release[]> {
  return db('releases').orderBy('id', 'desc').limit(most).select(HEAD);
}

export async function findRuns(db: Knex, releases: readonly number[]): Promise<ReleasedRun[]> {
  return db('released_runs').whereIn('release', releases).orderBy(['release', 'sequence']).select(RUN);
}

export async function findReleasedRolls(db: Knex, release: number): Promise<ReleasedRoll[]> {
  return db('released_rolls')
    .where({ release })
    .orderBy('roll')
    .select('roll', 'active', { lengthMm: 'length_mm' });
}

/** Orders that these runs make rolls for. */
export async function ordersOfRuns(
  db: Knex,
  release: number,
  sequences: readonly number[],
): Promise<string[]> {
  return db('released_strips')
    .where({ release })
    .whereIn('sequence', sequences)
    .distinct()
    .pluck('order_line');
}

export interface Holder {
  roll: string;
  release: number;
  by: string;
  plan: number;
  at: Date;
}

/** Who holds these rolls at the machine. */
export async function holdersOf(db: Knex, rolls: readonly string[]): Promise<Holder[]> {
  return db('released_rolls as r')
    .join('releases as e', 'e.id', 'r.release')
    .where('r.active', true)
    .whereIn('r.roll', rolls)
    .orderBy('r.roll')
    .select('r.roll', 'r.release', { by: 'e.by_whom', plan: 'e.plan', at: 'e.at' });
}

export interface RollOnSlitter {
  release: number;
  roll: string;
  status: string;
  useBy: string | null;
  lengthMm: number;
  /** The last run that names it, and its slitter. */
  sequence: number;
  slitter: string;
  /** An open run still names it. */
  wanted: boolean;
}

/** The rolls that releases hold at the machines. */
export async function rollsOnSlitters(db: Knex): Promise<RollOnSlitter[]> {
  return db('released_rolls as r')
    .join('rolls as s', 's.code', 'r.roll')
    .joinRaw(
      `cross join lateral (select n.sequence, n.slitter from released_runs n, json_array_elements(n.run->'from') f
        where n.release = r.release and f->>'roll' = r.roll order by n.sequence desc limit 1) as last`,
    )
    .where('r.active', true)
    .orderBy(['r.release', 'r.roll'])
    .select('r.release', 'r.roll', 'last.sequence', 'last.slitter', 's.status')
    .select({ useBy: 's.use_by', lengthMm: 's.length_mm', wanted: db.raw(NAMED) });
}

/** Leaves out rolls that are reserved for the machine; `roll` names the column of their code. */
export function notReserved<Rows extends Knex.QueryBuilder>(rows: Rows, roll: string): Rows {
  return rows.whereNotExists((held) =>
    held.from('released_rolls as held').whereRaw('held.roll = ??', [roll]).where('held.active', true),
  ) as Rows;
}

/** Runs that any release has of a plan and that are not withdrawn. */
export async function runsTaken(
  db: Knex,
  plan: number,
): Promise<{ sequence: number; release: number; status: RunStatus }[]> {
  return db('released_runs as n')
    .join('releases as e', 'e.id', 'n.release')
    .where('e.plan', plan)
    .whereNot('n.status', 'withdrawn')
    .orderBy('n.sequence')
    .select('n.sequence', 'n.release', 'n.status');
}

/** Adds cut sets to a run (or takes them off); its status follows, unless it is given. */
export async function addSetsCut(
  trx: Knex,
  release: number,
  sequence: number,
  sets: number,
  status?: RunStatus,
): Promise<void> {
  const follows = `case when sets_cut + ? >= sets_planned then 'done' when sets_cut + ? > 0 then 'being cut' else 'waiting' end`;
  await trx('released_runs')
    .where({ release, sequence })
    .update({ sets_cut: trx.raw('sets_cut + ?', [sets]), status: status ?? trx.raw(follows, [sets, sets]) });
}

export async function setRunStatus(
  trx: Knex,
  release: number,
  sequences: readonly number[],
  status: RunStatus,
): Promise<void> {
  await trx('released_runs').where({ release }).whereIn('sequence', sequences).update({ status });
}

const OPEN = `n.status in ('waiting', 'being cut')`;
const NAMED = `exists (select 1 from released_runs n, json_array_elements(n.run->'from') f
  where n.release = r.release and f->>'roll' = r.roll and ${OPEN})`;
const CUT = `exists (select 1 from recordings c where c.release = r.release and c.roll = r.roll
  and c.what <> 'end' and c.undone_by is null)`;
const ENDED = `exists (select 1 from recordings c where c.release = r.release and c.roll = r.roll
  and c.what = 'end' and c.undone_by is null)`;

/**
 * Frees the rolls that a release no longer needs and closes it when nothing is left to do. A roll that was cut stays
 * until its end is recorded; `takenOff` frees it as it is when no open run names it.
 */
export async function settleRelease(trx: Knex, release: number, takenOff = false): Promise<void> {
  await trx.raw(
    `update released_rolls r set active = false where r.release = ? and r.active
       and (${ENDED} or (not ${NAMED} and (? or not ${CUT})))`,
    [release, takenOff],
  );
  await trx.raw(
    `update releases e set status = case
       when exists (select 1 from released_runs n where n.release = e.id and ${OPEN})
         or exists (select 1 from released_rolls r where r.release = e.id and r.active) then 'at the machine'
       when exists (select 1 from released_runs n where n.release = e.id and n.sets_cut > 0) then 'finished'
       else 'withdrawn' end
     where e.id = ?`,
    [release],
  );
}

/** Takes a roll back to the machine, after its end was undone. */
export async function holdAgain(trx: Knex, release: number, roll: string): Promise<void> {
  await trx('released_rolls').where({ release, roll }).update({ active: true });
}
