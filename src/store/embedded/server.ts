// Starts one PostgreSQL process and stops it with this program, however this program ends: a shell holds a pipe from
// us, and when the pipe closes (also by kill -9) it asks the server for a fast shutdown.
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { Refusal } from '../../domain/refusal.ts';
import { giveTo, makeSocketFolder, type Place, removeSocketFolder } from './folder.ts';
import { SUPERUSER } from './owner.ts';
import { clearStaleLocks } from './staleLock.ts';

export interface Server {
  /** Resolves when the process has ended. */
  ended: Promise<void>;
  stop(): Promise<void>;
}

// The reader is killed as soon as the server has ended, so that it never signals a process number given to another.
const KEEPER = `
  exec 3<&0
  "$@" </dev/null 3<&- & server=$!
  (trap "" INT TERM HUP; read nothing <&3; kill -INT $server) 2>/dev/null & reader=$!
  exec 3<&-
  trap "" INT TERM HUP
  wait $server; status=$?
  kill -KILL $reader 2>/dev/null
  exit $status`;

/** Makes the cluster when there is none: complete or not at all. */
export function ensureCluster(native: string, place: Place): void {
  if (fs.existsSync(path.join(place.cluster, 'PG_VERSION'))) return;
  const half = fs.mkdtempSync(`${place.cluster}-half-`);
  giveTo(half, place.account);
  const options = ['-U', SUPERUSER, '--auth=trust', '--encoding=UTF8', '--no-instructions'];
  const locale = ['--locale-provider=builtin', '--builtin-locale=C.UTF-8', '--locale=C'];
  const run = spawnSync(path.join(native, 'bin/initdb'), ['-D', half, ...options, ...locale], {
    ...surroundings(place),
    encoding: 'utf8',
  });
  if (run.status === 0) settle(half, place.cluster);
  else {
    fs.rmSync(half, { recursive: true, force: true });
    const problem = (
      run.stderr ||
      run.error?.message ||
      `initdb ended with ${run.signal ?? run.status}`
    ).trim();
    throw new Refusal('data-folder-unusable', { folder: place.folder, problem });
  }
}

/** Gives the finished folder its name, unless another program was quicker; then that one's counts. */
function settle(half: string, cluster: string): void {
  try {
    fs.renameSync(half, cluster);
  } catch (error) {
    if (!fs.existsSync(path.join(cluster, 'PG_VERSION'))) throw error;
    fs.rmSync(half, { recursive: true, force: true });
  }
}

/** Starts the server and waits until it accepts connections; a string is its log when it ended instead. */
export async function launchServer(native: string, place: Place): Promise<Server | string> {
  clearStaleLocks(place.cluster, place.socketFolder);
  makeSocketFolder(place);
  const child = spawn(
    '/bin/sh',
    ['-c', KEEPER, 'sh', path.join(native, 'bin/postgres'), ...serverOptions(place)],
    {
      ...surroundings(place),
      detached: true, // Ctrl-C in the terminal is for this program alone, which then stops the server in good order
      stdio: ['pipe', 'ignore', 'pipe'],
    },
  );
  child.stdin?.on('error', () => {});
  const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
  const log = await firstWords(child);
  if (log !== 'ready') return log;
  const stop = async (): Promise<void> => {
    child.stdin?.end();
    await ended;
    removeSocketFolder(place);
  };
  return { ended, stop };
}

function firstWords(child: ChildProcess): Promise<string> {
  return new Promise((resolve) => {
    let log = '';
    child.stderr?.on('data', (chunk: Buffer) => {
      log = (log + chunk.toString()).slice(-4000);
      if (log.includes('ready to accept connections')) resolve('ready');
    });
    child.once('error', (error) => resolve(error.message));
    child.once('close', () => resolve(log || 'it ended at once'));
  });
}

function serverOptions(place: Place): string[] {
  const options = [
    'listen_addresses=',
    `unix_socket_directories=${place.socketFolder}`,
    'unix_socket_permissions=0700',
    'shared_buffers=64MB',
    'max_connections=50',
    'timezone=UTC',
    'log_timezone=UTC',
  ];
  return ['-D', place.cluster, ...options.flatMap((option) => ['-c', option])];
}

function surroundings(place: Place) {
  return { ...place.account.ids, cwd: place.folder, env: { PATH: process.env.PATH, LANG: 'C', TZ: 'UTC' } };
}
