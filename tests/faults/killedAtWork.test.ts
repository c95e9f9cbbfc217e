import { describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { auditStock } from '../../src/usecases/auditStock.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { storePlanOf } from '../support/machine.ts';
import { doubleUse } from '../support/plantLife.ts';
import { folderWith, openHere, type Program, run, serverPid } from './programs.ts';

const TODAY = '2027-03-01' as IsoDate;
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));
const acknowledged = (program: Program) => program.lines().filter((line) => line.startsWith('life-'));
/** The demo plant with three plans that can be released. */
const plantFolder = folderWith(async (db) => {
  await seedDemo(db, TODAY);
  for (const orders of [['SO-4101', 'SO-4102'], ['SO-4103'], ['SO-4137']])
    await storePlanOf(db, TODAY, orders, 1);
});

/** What is wrong after the next start: lost forms, faults of the audit, metres used twice. */
async function afterwards(folder: string, told: readonly string[]) {
  const { db, close } = await openHere(folder);
  const kept = new Set(await db('entries').whereNotNull('request_key').pluck('request_key'));
  const audit = await auditStock(db, 3);
  const faults = audit.rules.flatMap((rule) => rule.faults.map(({ words }) => words));
  const double = await doubleUse(db);
  await close();
  return { lost: told.filter((key) => !kept.has(key)), faults, double };
}

const ALL_WELL = { lost: [], faults: [], double: [] };
const ROUNDS = 3;
const ENOUGH = 40;

describe('killed at work', () => {
  it('keeps what it told, and nothing by halves, when program and database are killed together', async () => {
    const folder = plantFolder();
    const told: string[] = [];
    for (let round = 0; round < ROUNDS; round += 1) {
      const liver = run('tests/faults/liver.ts', [folder, String(100 + round)]);
      await liver.until('open');
      while (acknowledged(liver).length < ENOUGH) await pause(5);
      process.kill(serverPid(folder), 'SIGKILL');
      liver.child.kill('SIGKILL');
      await liver.ended;
      told.push(...acknowledged(liver));
      expect(await afterwards(folder, told)).toEqual(ALL_WELL);
    }
    expect(told.length).toBeGreaterThanOrEqual(ROUNDS * ENOUGH);
  }, 240_000);

  it('goes on when only the database is killed, and has lost nothing that it told', async () => {
    const folder = plantFolder();
    const liver = run('tests/faults/liver.ts', [folder, '200']);
    await liver.until('open');
    for (let round = 1; round <= ROUNDS; round += 1) {
      while (acknowledged(liver).length < round * ENOUGH) await pause(5);
      process.kill(serverPid(folder), 'SIGKILL');
    }
    const before = acknowledged(liver).length;
    while (acknowledged(liver).length < before + 10) await pause(5);
    liver.child.kill('SIGKILL');
    await liver.ended;
    expect(await afterwards(folder, acknowledged(liver))).toEqual(ALL_WELL);
  }, 240_000);
});
