// One way into the database for the embedded and for a server of one's own: knex over pg.
// Numbers come back as numbers: lengths in mm and money fit a double exactly or as entered, and text would add wrongly.
import knexPackage, { type Knex } from 'knex';
import pg from 'pg';

const BIGINT = 20;
const NUMERIC = 1700;
const DATE = 1082;
const DATES = 1182;

/** Set once per process, before the first query: bigint and numeric as number, date as yyyy-mm-dd text. */
pg.types.setTypeParser(BIGINT, Number);
pg.types.setTypeParser(NUMERIC, Number);
pg.types.setTypeParser(DATE, (text) => text);
pg.types.setTypeParser(DATES as number, (text: string) => text.slice(1, -1).split(',').filter(Boolean));

/** A pool of connections; the caller ends it with destroy(). Nothing is sent before the first query. */
export function connect(connection: string | pg.ClientConfig, most = 10): Knex {
  return knexPackage.default({
    client: 'pg',
    connection: connection as Knex.StaticConnectionConfig,
    pool: { min: 0, max: most },
    acquireConnectionTimeout: 15_000,
    log: { warn },
  });
}

/** knex prints a failed connection beside throwing it; whoever catches it says it once, in words. */
function warn(message: string): void {
  if (!message.startsWith('Acquire connection error')) console.warn(message);
}
