// Coating runs: the lot of coating with its checks; what went in and out of them is in the movements of their entry.
import type { Knex } from 'knex';
import type { MovementSeen } from './recordings.ts';

export interface CoatingRun {
  entry: number;
  product: string;
  coatedOn: string;
  lot: string;
  viscosity: number | null;
  viscosityMin: number | null;
  viscosityMax: number | null;
  viscosityUnit: string | null;
  solidsPct: number | null;
  solidsMinPct: number | null;
  solidsMaxPct: number | null;
  withinLimits: boolean;
  dryGPerM2: number;
  coatFreeLeftUm: number;
  coatFreeRightUm: number;
}

const COLUMNS: Record<keyof CoatingRun, string> = {
  entry: 'entry',
  product: 'product',
  coatedOn: 'coated_on',
  lot: 'lot',
  viscosity: 'viscosity',
  viscosityMin: 'viscosity_min',
  viscosityMax: 'viscosity_max',
  viscosityUnit: 'viscosity_unit',
  solidsPct: 'solids_pct',
  solidsMinPct: 'solids_min_pct',
  solidsMaxPct: 'solids_max_pct',
  withinLimits: 'within_limits',
  dryGPerM2: 'dry_g_per_m2',
  coatFreeLeftUm: 'coat_free_left_um',
  coatFreeRightUm: 'coat_free_right_um',
};

export async function insertCoatingRun(trx: Knex, run: CoatingRun): Promise<void> {
  await trx('coating_runs').insert(
    Object.fromEntries(
      Object.entries(COLUMNS).map(([name, column]) => [column, run[name as keyof CoatingRun]]),
    ),
  );
}

export type CoatingMovement = Omit<MovementSeen, 'entry'>;

export type CoatingSeen = CoatingRun & {
  by: string;
  at: Date;
  movements: CoatingMovement[];
  statuses: Record<string, string>;
  /** The entry that took it back, by whom and why. */
  undoneBy: number | null;
  undone: { by: string; reason: string } | undefined;
};

export async function selectCoatingRun(db: Knex, entry: number): Promise<CoatingSeen | undefined> {
  const run = await db('coating_runs as c')
    .join('entries as e', 'e.id', 'c.entry')
    .where('c.entry', entry)
    .first({ ...prefixed(), by: 'e.by_whom', at: 'e.at' });
  if (!run) return undefined;
  const movements = await db('movements')
    .where({ entry })
    .orderBy('id')
    .select('roll', 'side', 'cause', { lengthMm: 'length_mm', massMg: 'mass_mg', madeOf: 'made_of' });
  const undone = await db('entries')
    .where({ corrects: entry, kind: 'corrected' })
    .first('id', 'by_whom', 'reason');
  const statuses = await db('status_changes').where({ entry }).select('roll', 'becomes');
  return {
    ...run,
    movements,
    statuses: Object.fromEntries(statuses.map((s) => [s.roll, s.becomes])),
    undoneBy: undone ? Number(undone.id) : null,
    undone: undone && { by: undone.by_whom, reason: undone.reason },
  };
}

const prefixed = () =>
  Object.fromEntries(Object.entries(COLUMNS).map(([name, column]) => [name, `c.${column}`]));

export interface CoatingLine {
  entry: number;
  product: string;
  coatedOn: string;
  lot: string;
  withinLimits: boolean;
  by: string;
  rolls: string[];
  takenBack: boolean;
}

/** The newest runs with the rolls that they made. */
export async function latestCoatingRuns(db: Knex, most: number): Promise<CoatingLine[]> {
  return db('coating_runs as c')
    .join('entries as e', 'e.id', 'c.entry')
    .orderBy('c.entry', 'desc')
    .limit(most)
    .select('c.entry', 'c.product', 'c.lot', {
      coatedOn: 'c.coated_on',
      withinLimits: 'c.within_limits',
      by: 'e.by_whom',
    })
    .select(
      db.raw(
        "(select array_agg(distinct m.roll order by m.roll) from movements m where m.entry = c.entry and m.side = 'in') as rolls",
      ),
      db.raw(
        `exists (select from entries u where u.corrects = c.entry and u.kind = 'corrected') as "takenBack"`,
      ),
    );
}
