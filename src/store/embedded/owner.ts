// One program owns an embedded server: it holds an advisory lock on a connection of its own for as long as it lives.
// The kernel closes that connection however the program ends, so the lock can never be left behind as a file can.
import pg from 'pg';

export const SUPERUSER = 'lanewright';
const OWNER_LOCK = 72_013;

export interface Owner {
  release(): Promise<void>;
}

async function open(socketFolder: string): Promise<pg.Client | undefined> {
  const client = new pg.Client({
    host: socketFolder,
    user: SUPERUSER,
    database: 'postgres',
    connectionTimeoutMillis: 2000,
  });
  client.on('error', () => {}); // the server ended; whoever watches it knows
  try {
    await client.connect();
    return client;
  } catch {
    await client.end().catch(() => {});
    return undefined;
  }
}

/** Takes the lock; `taken` when another program holds it, `silent` when no server answers at the socket. */
export async function takeOwnership(socketFolder: string): Promise<Owner | 'taken' | 'silent'> {
  const client = await open(socketFolder);
  if (!client) return 'silent';
  try {
    const { rows } = await client.query('select pg_try_advisory_lock($1) as got', [OWNER_LOCK]);
    if (rows[0].got) return { release: () => client.end() };
  } catch {
    await client.end().catch(() => {});
    return 'silent';
  }
  await client.end();
  return 'taken';
}

/** Whether a living program owns the server at the socket; looks without taking the lock, so it disturbs no start. */
export async function isOwned(socketFolder: string): Promise<boolean> {
  const client = await open(socketFolder);
  if (!client) return false;
  try {
    const held =
      "select from pg_locks where locktype = 'advisory' and classid = 0 and objid = $1 and granted";
    return (await client.query(held, [OWNER_LOCK])).rowCount !== 0;
  } catch {
    return false; // the server is just ending
  } finally {
    await client.end().catch(() => {});
  }
}

/** Makes the database on a new server; nothing when it is there. */
export async function ensureDatabase(socketFolder: string, name: string): Promise<void> {
  const client = await open(socketFolder);
  if (!client) throw new Error('the embedded server does not answer');
  try {
    const { rowCount } = await client.query('select 1 from pg_database where datname = $1', [name]);
    if (rowCount === 0) await client.query(`create database ${client.escapeIdentifier(name)}`);
  } finally {
    await client.end();
  }
}
