// A release as the pages need it: its runs, the rolls as they stand on the machine, what was recorded, what was made.
import type { Knex } from 'knex';
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { Refusal } from '../../domain/refusal.ts';
import type { Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import {
  type FinishedRoll,
  finishedOf,
  type MovementSeen,
  movementsOf,
  type RecordingSeen,
  recordingsOf,
  usedSinceRelease,
} from '../../store/recordings.ts';
import {
  findRelease,
  findReleasedRolls,
  findReleases,
  findRuns,
  newestReleases,
  type Release,
  type ReleasedRun,
  type RollOnSlitter,
  rollsOnSlitters,
} from '../../store/releases.ts';
import { findRows } from '../../store/rows.ts';
import { readFinishedPlan } from '../planning/readPlan.ts';
import { namesOf } from '../tables/namesOf.ts';

export type { FinishedRoll, MovementSeen, RecordingSeen, Release, ReleasedRun, RollOnSlitter };

/** A roll of a release as it stands now. */
export interface RollOfRelease {
  code: string;
  row: Row;
  /** When it was released; metre counts begin at this outer end. */
  releasedMm: number;
  /** Taken since: where its outer end stands on the counter. */
  usedMm: number;
  active: boolean;
}

export interface ReleaseSeen {
  release: Release;
  plan: Plan;
  problem: Problem;
  runs: ReleasedRun[];
  rolls: RollOfRelease[];
  recordings: RecordingSeen[];
  made: FinishedRoll[];
  /** The row of each slitter of the runs, by its code. */
  slitters: Map<string, Row>;
  products: Map<string, Row>;
  /** The name of the customer of each order. */
  customers: Map<string, string>;
}

/** Refuses with not-found. */
export async function readRelease(db: Knex, id: number): Promise<ReleaseSeen> {
  const release = await findRelease(db, id);
  if (!release) throw new Refusal('not-found', { what: 'release', code: id });
  const { plan, problem: document } = await readFinishedPlan(db, release.plan);
  const read = parseProblem(document);
  if (!read.ok) throw new Error(`the stored problem of plan ${release.plan} can no longer be read`);
  const runs = await findRuns(db, [id]);
  const recordings = await recordingsOf(db, [id]);
  const entries = recordings.map(({ entry }) => entry);
  return {
    release,
    plan,
    problem: read.problem,
    runs,
    rolls: await rollsOf(db, id),
    recordings,
    made: await finishedOf(db, entries),
    slitters: await rowsOf(db, 'slitters', distinct(runs.map(({ slitter }) => slitter))),
    products: await rowsOf(db, 'products', distinct(runs.map(({ product }) => product))),
    customers: await customersOf(db, runs),
  };
}

const distinct = (codes: readonly string[]): string[] => [...new Set(codes)];

async function rowsOf(
  db: Knex,
  name: 'slitters' | 'products' | 'orders' | 'rolls',
  codes: readonly string[],
): Promise<Map<string, Row>> {
  const rows = await findRows(db, RESOURCES[name], codes);
  return new Map(rows.map((row) => [String(row.code), row]));
}

async function rollsOf(db: Knex, release: number): Promise<RollOfRelease[]> {
  const released = await findReleasedRolls(db, release);
  const used = await usedSinceRelease(db, release);
  const rows = await rowsOf(
    db,
    'rolls',
    released.map(({ roll }) => roll),
  );
  return released.map(({ roll, lengthMm, active }) => ({
    code: roll,
    row: rows.get(roll) as Row,
    releasedMm: lengthMm,
    usedMm: used.get(roll) ?? 0,
    active,
  }));
}

async function customersOf(db: Knex, runs: readonly ReleasedRun[]): Promise<Map<string, string>> {
  const codes = distinct(
    runs.flatMap(({ run }) => run.strips.flatMap(({ order }) => (order === undefined ? [] : [order]))),
  );
  const orders = [...(await rowsOf(db, 'orders', codes)).values()];
  const names = await namesOf(
    db,
    RESOURCES.customers,
    orders.map((order) => String(order.customer)),
  );
  return new Map(orders.map((order) => [String(order.code), names.get(String(order.customer)) ?? '']));
}

export interface ReleaseHead extends Release {
  runs: ReleasedRun[];
}

/** Releases with their runs: those at the machine, those of a plan, or the newest. */
export async function listReleases(
  db: Knex,
  of: { plan: number } | 'at the machine' | { newest: number },
): Promise<ReleaseHead[]> {
  const releases =
    of === 'at the machine'
      ? await findReleases(db, { status: of })
      : 'plan' in of
        ? await findReleases(db, of)
        : await newestReleases(db, of.newest);
  const runs = await findRuns(
    db,
    releases.map(({ id }) => id),
  );
  return releases.map((release) => ({ ...release, runs: runs.filter((run) => run.release === release.id) }));
}

/** The rolls that lie at the machines now. */
export const rollsAtMachines = (db: Knex): Promise<RollOnSlitter[]> => rollsOnSlitters(db);

/** What was recorded of runs: metres and rolls, undone things left out. */
export interface RunActual {
  release: number;
  sequence: number;
  usedMm: number;
  /** Lengths lost, by cause. */
  lostMm: Map<string, number>;
  /** Masses lost across, by cause: trims, waste strips, scrap. */
  made: FinishedRoll[];
}

/** Actual beside planned, for all runs of these releases. */
export async function actualOfRuns(db: Knex, releases: readonly number[]): Promise<RunActual[]> {
  const standing = (await recordingsOf(db, releases)).filter(
    (one) => one.undoneBy === null && one.sequence !== null,
  );
  const entries = standing.map(({ entry }) => entry);
  const moved = await movementsOf(db, entries);
  const made = await finishedOf(db, entries);
  const keys = new Map(standing.map((one) => [`${one.release} ${one.sequence}`, one]));
  return [...keys.values()].map(({ release, sequence }) => {
    const own = standing.filter((one) => one.release === release && one.sequence === sequence);
    const ids = new Set(own.map(({ entry }) => entry));
    const lostMm = new Map<string, number>();
    for (const { entry, side, cause, lengthMm } of moved)
      if (ids.has(entry) && side === 'loss' && lengthMm !== 0)
        lostMm.set(cause, (lostMm.get(cause) ?? 0) - lengthMm);
    return {
      release,
      sequence: sequence as number,
      usedMm: own.reduce((sum, one) => sum + one.usedMm, 0),
      lostMm,
      made: made.filter(({ entry }) => ids.has(entry)),
    };
  });
}
