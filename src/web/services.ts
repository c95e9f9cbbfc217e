// What every page may use: the database, the planning jobs, the settings and today's date.
// Pages get it as an argument, so that a test can give them another database or another day.
import type { Knex } from 'knex';
import type { IsoDate } from '../domain/units.ts';
import type { Jobs } from '../jobs/jobs.ts';

export interface Services {
  db: Knex;
  jobs: Jobs;
  /** The plant's calendar day, yyyy-mm-dd. */
  today: () => IsoDate;
  /** What the GS1 numbers of packages and products begin with. */
  companyPrefix: string;
  /** Run cards warn of rolls and shafts above this mass. */
  liftLimitKg: number;
}
