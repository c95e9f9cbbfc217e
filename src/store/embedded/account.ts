// Under which account the embedded server runs, and what that account can reach. PostgreSQL refuses to run as root,
// so root lends it an ordinary account; everyone else runs it under their own.
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { Refusal } from '../../domain/refusal.ts';

export interface Account {
  name: string;
  /** Empty: the account this program runs under. */
  ids: { uid?: number; gid?: number };
}

/** The account for a cluster folder: who owns it already, else an ordinary account. */
export function chooseAccount(cluster: string): Account {
  const me = process.getuid?.();
  const owner = fs.existsSync(cluster) ? fs.statSync(cluster) : undefined;
  if (me !== 0) {
    if (owner && owner.uid !== me)
      throw new Refusal('data-folder-unusable', {
        folder: cluster,
        problem: `it belongs to the account with number ${owner.uid}, which started it before`,
      });
    return { name: `number ${me}`, ids: {} };
  }
  if (owner && owner.uid !== 0)
    return { name: `number ${owner.uid}`, ids: { uid: owner.uid, gid: owner.gid } };
  return borrowAccount();
}

function borrowAccount(): Account {
  for (const name of ['postgres', 'nobody']) {
    const uid = spawnSync('id', ['-u', name], { encoding: 'utf8' });
    const gid = spawnSync('id', ['-g', name], { encoding: 'utf8' });
    if (uid.status === 0 && gid.status === 0)
      return { name, ids: { uid: Number(uid.stdout), gid: Number(gid.stdout) } };
  }
  const problem =
    'PostgreSQL does not run as root, and there is no account "postgres" or "nobody" to lend it';
  throw new Refusal('no-embedded-database', { problem });
}

/** True when the account passes `test <flag> <file>`: -x to enter or run, -r to read, -w to write. */
export function accountCan(account: Account, flag: '-x' | '-r' | '-w', file: string): boolean {
  const run = spawnSync('/bin/sh', ['-c', `test ${flag} "$0"`, file], {
    ...account.ids,
    cwd: '/',
    stdio: 'ignore',
  });
  if (run.error) {
    const problem = `running a program as "${account.name}" failed (${run.error.message})`;
    throw new Refusal('no-embedded-database', { problem });
  }
  return run.status === 0;
}

/** The outermost existing folder on the way to `folder` that the account cannot enter; undefined when there is none. */
export function closedFolder(account: Account, folder: string): string | undefined {
  if (account.ids.uid === undefined) return undefined;
  const steps: string[] = [];
  for (let step = folder; step !== path.dirname(step); step = path.dirname(step)) steps.unshift(step);
  return steps.find((step) => isFolder(step) && !accountCan(account, '-x', step));
}

const isFolder = (file: string): boolean => fs.existsSync(file) && fs.statSync(file).isDirectory();
