// Starts programs of this project as processes of their own, for tests that kill them, and cleans up after them.
import { type ChildProcess, execFileSync, spawn } from 'node:child_process';
import fs from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Knex } from 'knex';
import { afterAll, afterEach, beforeAll } from 'vitest';
import { readSettings } from '../../src/settings.ts';
import { openDatabase } from '../../src/store/database.ts';

const PROJECT = fileURLToPath(new URL('../..', import.meta.url));

export interface Program {
  child: ChildProcess;
  /** Everything it printed, both streams. */
  said(): string;
  /** Lines of standard output. */
  lines(): string[];
  /** Waits until the words were printed; fails when the program ends first. */
  until(words: string | RegExp): Promise<void>;
  ended: Promise<number | string | null>;
}

const programs: Program[] = [];
const folders: string[] = [];

afterEach(async () => {
  for (const { child, ended } of programs.splice(0)) {
    child.kill('SIGKILL');
    await ended;
  }
  for (const folder of folders.splice(0)) await removeWhenQuiet(folder);
});

/** A server that is just ending may still write; tries for some seconds. */
async function removeWhenQuiet(folder: string): Promise<void> {
  for (let tries = 0; tries < 50; tries += 1) {
    try {
      const cluster = path.join(folder, 'postgres');
      if (!fs.existsSync(path.join(cluster, 'postmaster.pid')))
        return fs.rmSync(folder, { recursive: true, force: true });
    } catch {
      // not yet
    }
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  fs.rmSync(folder, { recursive: true, force: true });
}

/** A new folder that any account may enter; removed after the test. */
export function newFolder(mode = 0o755): string {
  const folder = fs.mkdtempSync(path.join(os.tmpdir(), 'lanewright-fault-'));
  fs.chmodSync(folder, mode);
  folders.push(folder);
  return folder;
}

/** Opens the embedded database of a folder in this process. */
export const openHere = (folder: string) =>
  openDatabase(readSettings({ LANEWRIGHT_DATA: folder }, []), () => {});

/** The server that works on a folder. */
export const serverPid = (folder: string): number =>
  Number(fs.readFileSync(path.join(folder, 'postgres/postmaster.pid'), 'utf8').split('\n')[0]);

/**
 * A migrated embedded database with what `fill` puts into it, made once for the test file because making one takes
 * seconds. @returns what gives a test a folder with a copy of its own.
 */
export function folderWith(fill: (db: Knex) => Promise<unknown> = async () => {}): () => string {
  let base: string;
  beforeAll(async () => {
    base = fs.mkdtempSync(path.join(os.tmpdir(), 'lanewright-base-'));
    fs.chmodSync(base, 0o755);
    const { db, close } = await openHere(base);
    await fill(db);
    await close();
  });
  afterAll(() => fs.rmSync(base, { recursive: true, force: true }));
  return () => {
    const folder = newFolder();
    execFileSync('cp', ['-a', path.join(base, 'postgres'), folder]);
    return folder;
  };
}

/** Runs a TypeScript file of the project in one node process (no npm or tsx wrapper between us and it). */
export function run(
  file: string,
  args: string[],
  options: { env?: NodeJS.ProcessEnv; uid?: number; gid?: number } = {},
): Program {
  const {
    DATABASE_URL: _not,
    LANEWRIGHT_DATA: _neither,
    VITEST: _nor,
    NODE_OPTIONS: _none,
    ...env
  } = process.env;
  const child = spawn(process.execPath, ['--import', 'tsx', file, ...args], {
    cwd: PROJECT,
    ...(options.uid === undefined ? {} : { uid: options.uid, gid: options.gid }),
    env: { ...env, ...options.env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let out = '';
  let all = '';
  child.stdout.on('data', (chunk) => {
    out += chunk;
    all += chunk;
  });
  child.stderr.on('data', (chunk) => {
    all += chunk;
  });
  const ended = new Promise<number | string | null>((resolve) =>
    child.once('exit', (code, signal) => resolve(signal ?? code)),
  );
  const program: Program = {
    child,
    ended,
    said: () => all,
    lines: () => out.split('\n').slice(0, -1),
    until: (words) => waitFor(program, words),
  };
  programs.push(program);
  return program;
}

async function waitFor(program: Program, words: string | RegExp): Promise<void> {
  let gone = false;
  program.ended.then(() => {
    gone = true;
  });
  const there = () =>
    typeof words === 'string' ? program.said().includes(words) : words.test(program.said());
  while (!there()) {
    if (gone) throw new Error(`the program ended before it said ${words}: ${program.said()}`);
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}
