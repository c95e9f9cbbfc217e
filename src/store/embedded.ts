// The embedded database: a real PostgreSQL, started and stopped with this program, for plants without a server of
// their own. Read top to bottom: place, programs, owner, server, watch. PostgreSQL keeps every acknowledged row through
// kill -9 of this program and of itself; when the server is killed alone, it is started again.
import { Refusal } from '../domain/refusal.ts';
import { prepareBinaries } from './embedded/binaries.ts';
import { holdsDatabase, type Place, preparePlace } from './embedded/folder.ts';
import { ensureDatabase, isOwned, type Owner, SUPERUSER, takeOwnership } from './embedded/owner.ts';
import { ensureCluster, launchServer, type Server } from './embedded/server.ts';
import { serverPid } from './embedded/staleLock.ts';

export interface Embedded {
  connection: { host: string; user: string; database: string };
  folder: string;
  /** A sentence for the log when the data lie elsewhere than by default. */
  notice: string | undefined;
  stop(): Promise<void>;
}

const DATABASE = 'lanewright';
const ORPHAN_MS = 15_000;
const START_MS = 30_000;
const PAUSE_MS = 200;
const MOST_RESTARTS = 5;
const RESTART_WINDOW_MS = 60_000;

/**
 * Starts the embedded server on a data folder. `named`: the folder was asked for by name and may not be replaced.
 * `onLost` is called when the server ended and cannot be started again. Throws a Refusal with words.
 */
export async function startEmbedded(
  dataFolder: string,
  named: boolean,
  onLost: (error: unknown) => void,
): Promise<Embedded> {
  const place = preparePlace(dataFolder, named);
  const native = prepareBinaries(place.account, place.folder);
  await refuseSecondOwner(place);
  ensureCluster(native, place);
  const own = () => startOwned(native, place);
  const keeper = keepRunning(await own(), own, onLost);
  await ensureDatabase(place.socketFolder, DATABASE);
  return { ...found(place), stop: keeper };
}

/**
 * Joins the server that another program runs on a data folder, to look at the data while it works; its `stop` stops
 * nothing. `silent`: no program runs it; `none`: there is no database in the folder yet.
 */
export async function joinEmbedded(
  dataFolder: string,
  named: boolean,
): Promise<Embedded | 'silent' | 'none'> {
  if (!holdsDatabase(dataFolder)) return 'none';
  const place = preparePlace(dataFolder, named);
  return (await isOwned(place.socketFolder)) ? { ...found(place), stop: async () => {} } : 'silent';
}

function found(place: Place): Omit<Embedded, 'stop'> {
  return {
    connection: { host: place.socketFolder, user: SUPERUSER, database: DATABASE },
    folder: place.folder,
    notice:
      place.insteadOf &&
      `${place.insteadOf} is closed to the database's account; the data lie in ${place.folder}`,
  };
}

interface Owned {
  server: Server;
  owner: Owner;
}

/** Starts and owns the server. A lock of a server that is just dying is waited out, that of a living owner refused. */
async function startOwned(native: string, place: Place): Promise<Owned> {
  const until = Date.now() + START_MS;
  for (;;) {
    const server = await launchServer(native, place);
    const owner = await takeOwnership(place.socketFolder);
    if (typeof server !== 'string' && typeof owner !== 'string') return { server, owner };
    if (typeof server !== 'string') await server.stop();
    if (typeof owner !== 'string') await owner.release();
    if (owner === 'taken') throw new Refusal('data-folder-in-use', { folder: place.folder });
    const waits = typeof server !== 'string' || /lock file|shared memory block/.test(server);
    if (!waits || Date.now() > until)
      throw new Refusal('no-embedded-database', {
        problem: `PostgreSQL did not start: ${String(server).trim()}`,
      });
    await pause();
  }
}

/** Refuses while the owner lives; a server whose owner was killed is stopped first, or seen out while it stops. */
async function refuseSecondOwner(place: Place): Promise<void> {
  const until = Date.now() + ORPHAN_MS;
  for (;;) {
    const found = await takeOwnership(place.socketFolder);
    if (found === 'silent') return;
    if (found === 'taken' || Date.now() > until)
      throw new Refusal('data-folder-in-use', { folder: place.folder });
    const pid = serverPid(place.cluster);
    await found.release();
    if (pid) stopProcess(pid);
    await pause();
  }
}

const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, PAUSE_MS));

function stopProcess(pid: number): void {
  try {
    process.kill(pid, 'SIGINT');
  } catch {
    // it has ended in the meantime
  }
}

/** Starts the server again when it ends by itself, a few times; returns the way to stop for good. */
function keepRunning(
  first: Owned,
  start: () => Promise<Owned>,
  onLost: (error: unknown) => void,
): () => Promise<void> {
  let current = first;
  let stopping = false;
  let restarts: number[] = [];
  const watch = async (): Promise<void> => {
    while (!stopping) {
      await current.server.ended;
      if (stopping) return;
      restarts = [...restarts.filter((at) => at > Date.now() - RESTART_WINDOW_MS), Date.now()];
      if (restarts.length > MOST_RESTARTS) throw new Error('the embedded database ends again and again');
      await current.owner.release().catch(() => {});
      current = await start();
    }
    await current.server.stop();
  };
  const watching = watch().catch((error) => {
    if (!stopping) onLost(error);
  });
  return async () => {
    stopping = true;
    await current.owner.release().catch(() => {});
    await current.server.stop();
    await watching;
  };
}
