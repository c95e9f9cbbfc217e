// Opens the plant's database: the PostgreSQL server that is named, or the embedded one, brought to the newest form.
import type { Knex } from 'knex';
import type pg from 'pg';
import { Refusal } from '../domain/refusal.ts';
import type { Settings } from '../settings.ts';
import { connect } from './connect.ts';
import { type Embedded, joinEmbedded, startEmbedded } from './embedded.ts';
import { isCurrent, migrate } from './migrate.ts';

export interface Database {
  db: Knex;
  /** Where the data lie, for the log; without password. */
  where: string;
  close(): Promise<void>;
}

/**
 * Opens and migrates; `onLost` is called when an embedded server ended for good. Throws a Refusal with words when
 * there is no database to open.
 */
export async function openDatabase(settings: Settings, onLost: (error: unknown) => void): Promise<Database> {
  const embedded = settings.databaseUrl
    ? undefined
    : await startEmbedded(settings.dataFolder, settings.dataFolderNamed, onLost);
  return open(settings, embedded, migrate);
}

/**
 * Opens the database to look at it, beside a program that runs on it or alone; never migrates. Throws a Refusal when
 * there is none, or when it is not in this program's form.
 */
export async function openToLook(settings: Settings): Promise<Database> {
  return open(settings, settings.databaseUrl ? undefined : await runningOrStarted(settings), async (db) => {
    if (!(await isCurrent(db))) throw new Refusal('database-not-current', {});
  });
}

async function runningOrStarted({ dataFolder, dataFolderNamed }: Settings): Promise<Embedded> {
  const joined = await joinEmbedded(dataFolder, dataFolderNamed);
  if (joined === 'none') throw new Refusal('no-database-yet', { folder: dataFolder });
  if (joined !== 'silent') return joined;
  // A server that is lost while we look ends the query too, which says so.
  return startEmbedded(dataFolder, dataFolderNamed, () => {});
}

async function open(
  settings: Settings,
  embedded: Embedded | undefined,
  prepare: (db: Knex) => Promise<void>,
): Promise<Database> {
  const db = connect(embedded?.connection ?? (settings.databaseUrl as string));
  const close = async (): Promise<void> => {
    await db.destroy();
    await embedded?.stop();
  };
  const where = embedded ? placeOf(embedded) : serverOf(settings.databaseUrl as string);
  try {
    await reach(db, where);
    await prepare(db);
  } catch (error) {
    await close();
    throw error;
  }
  return { db, where, close };
}

function placeOf(embedded: Embedded): string {
  return `embedded database in ${embedded.folder}${embedded.notice ? ` (${embedded.notice})` : ''}`;
}

function serverOf(url: string): string {
  const { hostname, port, pathname } = new URL(url);
  return `${hostname || 'this machine'}${port && `:${port}`}${pathname}`;
}

async function reach(db: Knex, where: string): Promise<void> {
  try {
    await db.raw('select 1');
  } catch (error) {
    const { code, message } = error as pg.DatabaseError;
    throw new Refusal('database-unreachable', { where, problem: message || code || 'no answer' });
  }
}
