// The whole stock in figures, and the faults of each check, read from one snapshot of the database so that people who
// work meanwhile disturb nothing. Lengths whole mm, masses whole mg.
import type { Knex } from 'knex';
import { type AuditCheck, BOOKED, type FoundFault } from './auditChecks.ts';

export interface AuditCounts {
  rolls: number;
  entries: number;
  movements: number;
  statusChanges: number;
  /** Earliest and latest entry; null without any. */
  from: Date | null;
  to: Date | null;
}

/** What came in, went out, was lost and is left, of one kind of roll. */
export interface KindSums {
  kind: string;
  rolls: number;
  inMm: number;
  outMm: number;
  lossMm: number;
  restMm: number;
  inMg: number;
  outMg: number;
  lossMg: number;
  restMg: number;
}

export interface CauseSums {
  side: 'in' | 'out' | 'loss';
  cause: string;
  movements: number;
  lengthMm: number;
  massMg: number;
}

/** Runs `look` on one snapshot, beside which `booked` holds one line a roll. Nothing that is kept is written. */
export async function onSnapshot<T>(db: Knex, look: (trx: Knex) => Promise<T>): Promise<T> {
  return db.transaction(
    async (trx) => {
      await trx.raw(`set local work_mem = '256MB'; set local jit = off; ${BOOKED}; analyze booked`);
      return look(trx);
    },
    { isolationLevel: 'repeatable read' },
  );
}

export async function auditCounts(trx: Knex): Promise<AuditCounts> {
  const { rows } = await trx.raw(`
    select (select count(*) from rolls) as rolls, (select count(*) from movements) as movements,
      (select count(*) from status_changes) as "statusChanges",
      count(*) as entries, min(at) as "from", max(at) as "to" from entries`);
  return rows[0];
}

export async function kindSums(trx: Knex): Promise<KindSums[]> {
  const sum = (column: string, name: string) => `coalesce(sum(b.${column}), 0) as "${name}"`;
  const { rows } = await trx.raw(`
    select r.kind, count(*) as rolls, sum(r.length_mm) as "restMm", sum(coalesce(r.mass_kg, 0) * 1000000) as "restMg",
      ${['in', 'out', 'loss'].map((side) => `${sum(`${side}_mm`, `${side}Mm`)}, ${sum(`${side}_mg`, `${side}Mg`)}`).join(', ')}
    from rolls r left join booked b on b.roll = r.code
    group by r.kind order by array_position(array['base', 'coated', 'stub', 'finished'], r.kind)`);
  return rows;
}

export async function causeSums(trx: Knex): Promise<CauseSums[]> {
  const { rows } = await trx.raw(`
    select side, cause, count(*) as movements, sum(length_mm) as "lengthMm", sum(mass_mg) as "massMg"
    from movements group by side, cause
    order by array_position(array['in', 'out', 'loss'], side), abs(sum(length_mm)) desc, cause`);
  return rows;
}

/** The faults that one check finds: how many, and the first of them. */
export async function faultsOf(
  trx: Knex,
  check: AuditCheck,
  most: number,
): Promise<{ total: number; first: FoundFault[] }> {
  const { rows } = await trx.raw(
    `select found.*, count(*) over () as total from (${check.sql}) as found order by roll, entry limit ${most}`,
  );
  return { total: rows[0]?.total ?? 0, first: rows };
}
