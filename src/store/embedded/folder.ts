// Where the embedded database lives: the data folder holds the cluster in postgres/, a short folder of the temp
// directory holds its socket (socket paths end at 107 bytes), and nothing listens on a TCP port.
import { createHash } from 'node:crypto';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { Refusal } from '../../domain/refusal.ts';
import { type Account, chooseAccount, closedFolder } from './account.ts';

export interface Place {
  folder: string;
  cluster: string;
  socketFolder: string;
  account: Account;
  /** Where the data should have gone, when that is closed to the account and nobody insisted on it. */
  insteadOf: string | undefined;
}

const LONGEST_SOCKET_FOLDER = 107 - '/.s.PGSQL.5432.lock'.length;
const LENT_FOLDERS = '/var/lib/lanewright';

/** True when a database was made for this folder before, in it or in the one lent instead. */
export function holdsDatabase(wanted: string): boolean {
  return [wanted, lentFolder(wanted)].some((folder) => fs.existsSync(path.join(folder, 'postgres')));
}

const lentFolder = (wanted: string): string => path.join(LENT_FOLDERS, hash(wanted));

/** Chooses and makes the folders. `named`: the folder was asked for by name, so it is refused rather than replaced. */
export function preparePlace(wanted: string, named: boolean): Place {
  const lent = lentFolder(wanted);
  const account = chooseAccount(path.join(wanted, 'postgres'));
  const usesLent = !named && account.ids.uid !== undefined && fs.existsSync(path.join(lent, 'postgres'));
  const closed = usesLent ? wanted : closedFolder(account, wanted);
  if (closed && named)
    throw new Refusal('data-folder-closed', { account: account.name, folder: wanted, closed, instead: lent });
  const folder = makeFolder(closed ? lent : wanted);
  const cluster = path.join(folder, 'postgres');
  const owner = closed ? chooseAccount(cluster) : account;
  return {
    folder,
    cluster,
    account: owner,
    socketFolder: socketFolderFor(cluster, owner),
    insteadOf: closed && wanted,
  };
}

function makeFolder(folder: string): string {
  try {
    fs.mkdirSync(folder, { recursive: true, mode: 0o755 });
    fs.accessSync(folder, fs.constants.W_OK);
    return fs.realpathSync(folder);
  } catch (error) {
    throw new Refusal('data-folder-unusable', { folder, problem: (error as Error).message });
  }
}

function socketFolderFor(cluster: string, account: Account): string {
  const name = `lanewright-${hash(cluster)}`;
  const parent = [os.tmpdir(), '/tmp'].find(
    (dir) => path.join(dir, name).length <= LONGEST_SOCKET_FOLDER && !closedFolder(account, dir),
  );
  if (!parent) throw new Refusal('no-embedded-database', { problem: 'the temp directory is out of reach' });
  return path.join(parent, name);
}

/** Makes the folder of the socket, for the account alone; before each start, because a stop removes it. */
export function makeSocketFolder({ socketFolder, account }: Place): void {
  fs.mkdirSync(socketFolder, { recursive: true, mode: 0o700 });
  const me = process.getuid?.();
  const found = fs.lstatSync(socketFolder);
  // The temp directory is everyone's: a folder or link that somebody else put there must not receive our socket.
  if (!found.isDirectory() || (found.uid !== (account.ids.uid ?? me) && found.uid !== me))
    throw new Refusal('no-embedded-database', { problem: `${socketFolder} belongs to somebody else` });
  giveTo(socketFolder, account);
  fs.chmodSync(socketFolder, 0o700);
}

/** Removes the folder of the socket when nothing is in it; one that is in use stays. */
export function removeSocketFolder({ socketFolder }: Place): void {
  try {
    fs.rmdirSync(socketFolder);
  } catch {
    // in use again, or gone
  }
}

/** Hands a folder to the account that root lends; nothing to do for everyone else. */
export function giveTo(folder: string, account: Account): void {
  if (account.ids.uid !== undefined && account.ids.gid !== undefined)
    fs.chownSync(folder, account.ids.uid, account.ids.gid);
}

function hash(text: string): string {
  return createHash('sha256').update(text).digest('hex').slice(0, 12);
}
