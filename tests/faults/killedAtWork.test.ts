import { describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { storePlanOf } from '../support/machine.ts';
import { brokenFamilies, doubleUse } from '../support/plantFacts.ts';
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

/** What is wrong after the next start: lost forms, faults of the audit, metres used twice, rolls from nowhere; and the
 * kinds of entries that were told. */
async function afterwards(folder: string, told: readonly string[]) {
  const { db, close } = await openHere(folder);
  const kept = new Map<string, string>(
    (await db('entries').whereNotNull('request_key').select('request_key', 'kind')).map((entry) => [
      entry.request_key,
      entry.kind,
    ]),
  );
  const audit = await auditStock(db, 3);
  const faults = audit.rules.flatMap((rule) => rule.faults.map(({ words }) => words));
  const double = await doubleUse(db);
  const families = await brokenFamilies(db, 0.5);
  await close();
  const kinds = [...new Set(told.map((key) => kept.get(key)))];
  return { lost: told.filter((key) => !kept.has(key)), faults, double, families, kinds };
}

const ALL_WELL = { lost: [], faults: [], double: [], families: [] };
const ENOUGH = 20;
/** What people are doing at the moment of the kill, and the entry that it makes. */
const ACTS = { receive: 'received', coat: 'coated', record: 'cut', dispatch: 'dispatched' };

/** Waits until enough was told, some act of this kind was begun before and another one is begun now. */
async function untilBegun(liver: Program, kind: string): Promise<void> {
  const begun = () => liver.lines().filter((line) => line === `begins ${kind}`).length;
  while (acknowledged(liver).length < ENOUGH) await pause(5);
  for (const before = begun(); begun() === before; ) await pause(1);
}

describe('killed at work', () => {
  it('keeps what it told, and nothing by halves, when program and database are killed together', async () => {
    const folder = plantFolder();
    const told: string[] = [];
    for (const [round, kind] of Object.keys(ACTS).entries()) {
      const liver = run('tests/faults/liver.ts', [folder, String(100 + round)]);
      await liver.until('open');
      await untilBegun(liver, kind);
      process.kill(serverPid(folder), 'SIGKILL');
      liver.child.kill('SIGKILL');
      await liver.ended;
      told.push(...acknowledged(liver));
      const { kinds, ...wrong } = await afterwards(folder, told);
      expect({ round, wrong }).toEqual({ round, wrong: ALL_WELL });
      if (round === Object.keys(ACTS).length - 1)
        expect(kinds).toEqual(expect.arrayContaining(Object.values(ACTS)));
    }
    expect(told.length).toBeGreaterThanOrEqual(Object.keys(ACTS).length * ENOUGH);
  }, 240_000);

  it('goes on when only the database is killed, and has lost nothing that it told', async () => {
    const folder = plantFolder();
    const liver = run('tests/faults/liver.ts', [folder, '200']);
    await liver.until('open');
    for (const kind of Object.keys(ACTS)) {
      const before = acknowledged(liver).length;
      while (acknowledged(liver).length < before + 10) await pause(5);
      await untilBegun(liver, kind);
      process.kill(serverPid(folder), 'SIGKILL');
    }
    const before = acknowledged(liver).length;
    while (acknowledged(liver).length < before + 10) await pause(5);
    liver.child.kill('SIGKILL');
    await liver.ended;
    const { kinds: _kinds, ...wrong } = await afterwards(folder, acknowledged(liver));
    expect(wrong).toEqual(ALL_WELL);
  }, 240_000);
});
