// Lock files that a killed server leaves behind. PostgreSQL itself judges by the process number, and is fooled by a
// zombie and by a number that was given to another process (a container that starts again). Ours: a server always has
// its working directory in the data folder; while any process has, nothing is touched.
import fs from 'node:fs';
import path from 'node:path';

/** Deletes the lock files of a cluster that no process works in. Only on Linux, where this can be seen for certain. */
export function clearStaleLocks(cluster: string, socketFolder: string): void {
  if (process.platform !== 'linux' || !fs.existsSync(path.join(cluster, 'postmaster.pid'))) return;
  if (someoneWorksIn(cluster)) return;
  fs.rmSync(path.join(cluster, 'postmaster.pid'), { force: true });
  fs.rmSync(path.join(socketFolder, '.s.PGSQL.5432.lock'), { force: true });
}

function someoneWorksIn(folder: string): boolean {
  return fs.readdirSync('/proc').some((name) => /^\d+$/.test(name) && workingFolder(name) === folder);
}

function workingFolder(pid: string): string | undefined {
  try {
    return fs.readlinkSync(`/proc/${pid}/cwd`);
  } catch {
    return undefined; // a zombie, one that just ended, or not ours
  }
}

/** The process number in the cluster's lock file, or undefined. */
export function serverPid(cluster: string): number | undefined {
  try {
    const pid = Number(fs.readFileSync(path.join(cluster, 'postmaster.pid'), 'utf8').split('\n')[0]);
    return pid > 1 ? pid : undefined;
  } catch {
    return undefined;
  }
}
