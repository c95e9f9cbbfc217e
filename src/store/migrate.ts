// The migrations, in order. They are imported by name, so that no folder is read and no file can be left out unseen;
// a new migration is one file and one line here.
import type { Knex } from 'knex';
import * as boughtAndMade from '../../migrations/001_bought_and_made.ts';
import * as stockAndDemand from '../../migrations/002_stock_and_demand.ts';
import * as plans from '../../migrations/003_plans.ts';
import * as goodRolls from '../../migrations/004_good_rolls.ts';
import * as fillers from '../../migrations/005_fillers.ts';
import * as ledger from '../../migrations/006_ledger.ts';
import * as atTheMachine from '../../migrations/007_at_the_machine.ts';
import * as slitterCalendar from '../../migrations/008_slitter_calendar.ts';
import * as receiving from '../../migrations/009_receiving.ts';
import * as careOfRolls from '../../migrations/010_care_of_rolls.ts';
import * as dispatch from '../../migrations/011_dispatch.ts';
import * as promises from '../../migrations/012_promises.ts';
import * as buying from '../../migrations/013_buying.ts';
import * as buyingTerms from '../../migrations/014_buying_terms.ts';
import * as lateFilm from '../../migrations/015_late_film.ts';
import * as firstPlan from '../../migrations/016_first_plan.ts';

const MIGRATIONS: Record<string, Knex.Migration> = {
  '001_bought_and_made': boughtAndMade,
  '002_stock_and_demand': stockAndDemand,
  '003_plans': plans,
  '004_good_rolls': goodRolls,
  '005_fillers': fillers,
  '006_ledger': ledger,
  '007_at_the_machine': atTheMachine,
  '008_slitter_calendar': slitterCalendar,
  '009_receiving': receiving,
  '010_care_of_rolls': careOfRolls,
  '011_dispatch': dispatch,
  '012_promises': promises,
  '013_buying': buying,
  '014_buying_terms': buyingTerms,
  '015_late_film': lateFilm,
  '016_first_plan': firstPlan,
};

const migrationSource: Knex.MigrationSource<string> = {
  getMigrations: async () => Object.keys(MIGRATIONS),
  getMigrationName: (name) => name,
  getMigration: async (name) => MIGRATIONS[name] as Knex.Migration,
};

const TABLE = 'knex_migrations';

/** True when the database is in the form of this program. */
export async function isCurrent(db: Knex): Promise<boolean> {
  if (!(await db.schema.hasTable(TABLE))) return false;
  const done = await db(TABLE).pluck('name');
  return Object.keys(MIGRATIONS).join() === done.sort().join();
}

const MIGRATION_LOCK = 72_014;

/**
 * Brings the database to the newest form, in one transaction: a start that is killed half-way leaves nothing behind,
 * not even the migration tool's own lock row, and a second start waits for the first.
 */
export async function migrate(db: Knex): Promise<void> {
  await db.transaction(async (trx) => {
    await trx.raw('select pg_advisory_xact_lock(?)', [MIGRATION_LOCK]);
    await trx.migrate.latest({ migrationSource, disableTransactions: true });
  });
}
