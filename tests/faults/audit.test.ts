import fs from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { pastTheLedger } from '../support/stock.ts';
import { folderWith, newFolder, openHere, run } from './programs.ts';

const WRITER = 'tests/faults/writer.ts';
const audit = (folder: string, options: string[] = []) =>
  run('src/cli/audit.ts', options, { env: { LANEWRIGHT_DATA: folder } });
const isStopped = (folder: string) => !fs.existsSync(path.join(folder, 'postgres/postmaster.pid'));

/** A folder with the demo plant. */
const plantFolder = folderWith((db) => seedDemo(db, '2027-03-01' as IsoDate));

describe('npm run audit', () => {
  it('starts the database when nobody works on it, audits, and stops it again', async () => {
    const folder = plantFolder();
    const command = audit(folder);
    expect(await command.ended, command.said()).toBe(0);
    expect(command.said()).toMatch(
      /^No fault: every metre and every gram is accounted for\.\nLooked at embedded/,
    );
    expect(command.said()).toMatch(/Rolls: \d+; entries: 1; movements: \d+;/);
    expect(command.said()).toMatch(/^in +entered +\d+ +[\d,.]+ +[\d,.]+$/m);
    expect(isStopped(folder)).toBe(true);
  });

  it('joins the server of a program that works on the folder, and leaves it at work', async () => {
    const folder = plantFolder();
    const writer = run(WRITER, [folder, 'w', '1000000']);
    await writer.until('open');
    const command = audit(folder);
    expect(await command.ended, command.said()).toBe(0);
    const before = writer.lines().length;
    while (writer.lines().length < before + 20) await new Promise((resolve) => setTimeout(resolve, 20));
    expect(writer.child.exitCode).toBeNull();
    expect(isStopped(folder)).toBe(false);
  });

  it('says what is wrong with which roll, and exits with 1', async () => {
    const folder = plantFolder();
    const { db, close } = await openHere(folder);
    const { code } = await db('rolls').orderBy('code').first('code');
    await pastTheLedger(db, (trx) => trx('rolls').where({ code }).update({ length_mm: 7 }));
    await close();
    const command = audit(folder);
    expect(await command.ended).toBe(1);
    expect(command.said()).toMatch(/^1 fault: see below\./);
    expect(command.said()).toContain(`roll ${code}, entry 1: holds 0.007 m`);
  });

  it('refuses a folder without a database, and makes none', async () => {
    const folder = path.join(newFolder(), 'nowhere');
    const command = audit(folder);
    expect(await command.ended).toBe(1);
    expect(command.said()).toMatch(/There is no database in .*nowhere yet\. Start Lanewright once/);
    expect(fs.existsSync(folder)).toBe(false);
  });

  it('refuses a database of another version instead of changing it', async () => {
    const folder = plantFolder();
    const { db, close } = await openHere(folder);
    await db('knex_migrations').where('name', '006_ledger').delete();
    await close();
    const command = audit(folder);
    expect(await command.ended).toBe(1);
    expect(command.said()).toMatch(/not in the form that this version/);
  });

  it('refuses an option that it does not know', async () => {
    const command = audit(newFolder(), ['--now']);
    expect(await command.ended).toBe(1);
    expect(command.said()).toMatch(/The start option is "--now", which is not known/);
  });
});
