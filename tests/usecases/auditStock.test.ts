// The audit finds nothing in stock that went through the ledger, and finds each fault that is planted past it.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { IsoDate } from '../../src/domain/units.ts';
import { bookMovements, bookStatus, openEntry } from '../../src/store/ledger.ts';
import { auditStock } from '../../src/usecases/afterwards/auditStock.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { pastTheLedger } from '../support/stock.ts';

interface Rows {
  base: string;
  coated: string;
}

let db: Knex;
let rows: Rows;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, '2027-03-01' as IsoDate);
  const one = async (kind: string) =>
    (await db('rolls').where({ kind, status: 'released' }).orderBy('code').first('code')).code as string;
  rows = { base: await one('base'), coated: await one('coated') };
  await cutOneSet(db, rows.coated, ['F9000001', 'F9000002']);
});

/** 600 m of a roll become two strips and an edge trim. */
async function cutOneSet(trx: Knex, roll: string, made: string[]): Promise<void> {
  await trx.transaction(async (inner) => {
    const { id } = await openEntry(inner, { kind: 'cut', by: 'test' });
    const { item } = await inner('rolls').where('code', roll).first('item');
    for (const code of made) {
      await inner('rolls').insert({
        code,
        kind: 'finished',
        item,
        width_um: 100_000,
        length_mm: 0,
        status: 'released',
      });
      await inner('status_changes').insert({ entry: id, roll: code, becomes: 'released' });
    }
    await bookMovements(inner, id, [
      { roll, side: 'out', cause: 'cut', lengthMm: -600_000, massMg: -2_000_000 },
      { roll, side: 'loss', cause: 'edge trim', lengthMm: 0, massMg: -500_000 },
      ...made.map((code) => ({
        roll: code,
        side: 'in' as const,
        cause: 'made',
        lengthMm: 600_000,
        massMg: 1_000_000,
        madeOf: roll,
      })),
    ]);
  });
}

const audited = async () => {
  const audit = await auditStock(db, 10);
  return { audit, broken: audit.rules.filter(({ total }) => total > 0) };
};

/** Plants a fault, audits, takes it back. */
async function foundAfter(plant: (trx: Knex) => Promise<unknown>) {
  let found: Awaited<ReturnType<typeof audited>> | undefined;
  const undo = new Error('undo');
  await db
    .transaction(async (trx) => {
      await trx.raw('set local session_replication_role = replica');
      await plant(trx);
      const audit = await auditStock(trx, 10);
      found = { audit, broken: audit.rules.filter(({ total }) => total > 0) };
      throw undo;
    })
    .catch((error) => {
      if (error !== undo) throw error;
    });
  return found as Awaited<ReturnType<typeof audited>>;
}

describe('the audit of sound stock', () => {
  it('finds no fault in the demo plant with a set cut, and says what it looked at', async () => {
    const { audit, broken } = await audited();
    expect(broken).toEqual([]);
    expect(audit.faults).toBe(0);
    expect(audit.counts.rolls).toBe(Number((await db('rolls').count({ n: '*' }))[0]?.n));
    expect(audit.causes.find(({ cause }) => cause === 'cut')).toMatchObject({
      side: 'out',
      movements: 1,
      lengthMm: -600_000,
      massMg: -2_000_000,
    });
    for (const kind of audit.kinds) {
      expect(kind.inMm + kind.outMm + kind.lossMm).toBe(kind.restMm);
      expect(kind.inMg + kind.outMg + kind.lossMg).toBe(kind.restMg);
    }
  });

  it('keeps nothing of its own in the database', async () => {
    await audited();
    expect((await db.raw("select to_regclass('booked') as kept")).rows[0].kept).toBeNull();
  });
});

describe('the audit of stock that was changed past the ledger', () => {
  const movement = (roll: string, side: string, more: object) => ({
    entry: 1,
    roll,
    side,
    cause: 'counted',
    length_mm: 0,
    mass_mg: 0,
    ...more,
  });
  const faults: [string, string, (trx: Knex) => Promise<unknown>, RegExp][] = [
    [
      'a length that was changed in its row',
      'balance',
      (trx) => trx('rolls').where('code', rows.base).update({ length_mm: 7 }),
      /holds 0\.007 m .*but its ledger says/,
    ],
    [
      'a mass that was changed in its row',
      'balance',
      (trx) => trx('rolls').where('code', rows.base).update({ mass_kg: 7 }),
      /holds .* and 7 kg, but its ledger says/,
    ],
    [
      'movements of a roll that is gone',
      'balance',
      (trx) => trx('rolls').where('code', rows.base).delete(),
      /holds 0 m and 0 kg, but its ledger says/,
    ],
    [
      'more taken back than had gone',
      'sides',
      (trx) => trx('movements').insert(movement(rows.base, 'out', { length_mm: 500, mass_mg: 3 })),
      /adds up the wrong way: .*out 0\.5 m and 0\.000003 kg/,
    ],
    [
      'a roll that held less than nothing for a while',
      'negative',
      async (trx) => {
        const [{ length_mm: has }] = await trx('rolls').where('code', rows.base).select('length_mm');
        const [{ id }] = await trx('entries').max({ id: 'id' });
        const later = { entry: trx.raw('?', [Number(id) - 0]) };
        await trx('movements').insert([
          movement(rows.base, 'loss', { ...later, length_mm: -has - 1000 }),
          movement(rows.base, 'in', { entry: Number(id) + 1, length_mm: has + 1000 }),
        ]);
      },
      /held -1 m/,
    ],
    [
      'a status that was changed in its row',
      'status',
      (trx) => trx('rolls').where('code', rows.base).update({ status: 'on hold' }),
      /is "on hold" where its ledger says "released"/,
    ],
    [
      'a change of status that begins elsewhere than the one before ended',
      'status',
      async (trx) => {
        await trx('status_changes').insert({
          entry: 1,
          roll: rows.base,
          was: 'used up',
          becomes: 'released',
        });
      },
      /is "used up" where its ledger says "released"/,
    ],
    [
      'a dispatched roll that never left',
      'dispatched',
      (trx) => bookStatus(trx, 1, [rows.base], 'dispatched'),
      /is dispatched with .* m in the house and 0 m sent away/,
    ],
    [
      'children that weigh more than their parent gave',
      'handed over',
      (trx) => trx('movements').where({ roll: 'F9000001', cause: 'made' }).update({ mass_mg: 1_000_001 }),
      /gave 2 kg .*but what was made of it is 2\.000001 kg/,
    ],
    [
      'children that are larger than the piece that was used',
      'handed over',
      (trx) => trx('rolls').where('code', 'F9000001').update({ width_um: 5_000_000 }),
      /gave .* m2, but what was made of it is 2 kg and 3060 m2/,
    ],
    [
      'a stretch that was cut twice',
      'cut twice',
      (trx) =>
        trx('recordings').insert(
          [400_000, 100_000, 350_000].map((from, i) => ({
            entry: 900 + i,
            release: 1,
            sequence: 1,
            roll: rows.coated,
            what: 'set',
            from_inner_mm: from,
            used_mm: 200_000,
            before: '{}',
          })),
        ),
      /took 400 m to 550 m from its inner end, which entry 902 had taken/,
    ],
    [
      'a finished roll without a parent',
      'parent',
      async (trx) => {
        const { item } = await trx('rolls').where('code', rows.coated).first('item');
        await trx('rolls').insert({
          code: 'F9',
          kind: 'finished',
          item,
          width_um: 5000,
          length_mm: 0,
          status: 'on hold',
        });
      },
      /is a finished roll without a parent/,
    ],
  ];

  it.each(faults)('finds %s', async (_title, rule, plant, words) => {
    const { audit, broken } = await foundAfter(plant);
    expect(audit.faults).toBeGreaterThan(0);
    const found = broken.find(({ name }) => name === rule);
    expect(found?.faults.map(({ words: said }) => said).join('\n')).toMatch(words);
  });

  it('names the roll and the entry, and counts what it does not spell out', async () => {
    const { broken } = await foundAfter((trx) =>
      trx('rolls').where('kind', 'coated').update({ length_mm: 7 }),
    );
    const balance = broken.find(({ name }) => name === 'balance');
    const coated = Number((await db('rolls').where('kind', 'coated').count({ n: '*' }))[0]?.n);
    expect(balance?.total).toBe(coated);
    expect(balance?.faults).toHaveLength(Math.min(10, coated));
    const entry = Number((await db('movements').where('roll', rows.coated).max({ id: 'entry' }))[0]?.id);
    expect(balance?.faults.find(({ roll }) => roll === rows.coated)?.entry).toBe(entry);
  });

  it('leaves stock as it found it', async () => {
    await pastTheLedger(db, async () => {});
    expect((await audited()).audit.faults).toBe(0);
  });
});
