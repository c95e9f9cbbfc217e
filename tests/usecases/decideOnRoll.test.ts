// Release, hold, concession and taking back: what the roll allows, what is entered, and what planning may count on.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { RESOURCES } from '../../src/domain/resources.ts';
import { DECISIONS, type Decision, decisionsFor } from '../../src/domain/rollDecision.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { usableRolls } from '../../src/store/planningRows.ts';
import { decideOnRoll, whatMayBeDecided } from '../../src/usecases/rolls/decideOnRoll.ts';
import { inUseOrder, rollHistory } from '../../src/usecases/rolls/rollHistory.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { applyImport } from '../../src/usecases/tables/importRows.ts';
import { saveRow } from '../../src/usecases/tables/saveRow.ts';
import { freshDatabase } from '../support/database.ts';
import { makeOf } from '../support/made.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let number = 0;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
});

/** A coated roll of CP-10 with this status and use-by day. */
async function roll(status: string, useBy = ''): Promise<string> {
  const code = `T${++number}`;
  const typed = { code, kind: 'coated', item: 'CP-10', widthUm: '1050', lengthMm: '2000', status, useBy };
  const saved = await saveRow(db, RESOURCES.rolls, typed);
  if (!saved.ok) throw new Error(JSON.stringify(saved.faults));
  return code;
}
const decide = (code: string, decision: Decision, typed: Record<string, string> = {}, today = TODAY) =>
  decideOnRoll(db, {
    roll: code,
    decision,
    typed: { reason: 'because', ...typed },
    by: 'Quality',
    requestKey: `decide-${++number}-key`,
    today,
  });
const now = async (code: string) => (await db('rolls').where({ code }).first('status', 'use_by')) as object;
const plannable = async (code: string, planOn = TODAY) =>
  (await usableRolls(db, { products: ['CP-10'], grades: [], planOn })).some((row) => row.code === code);
const concession = { approver: 'Dr Quality', until: '2027-04-01', test: 'peel test 12, no blocking' };

describe('what may be decided', () => {
  const on = (status: string, useBy: string | null = null, conceded = false) =>
    decisionsFor({ status, useBy: useBy as IsoDate | null, conceded }, TODAY);
  it.each([
    ['in quarantine', null, ['release', 'hold', 'concession']],
    ['on hold', null, ['release', 'concession']],
    ['released', null, ['hold']],
    ['used up', null, []],
    ['dispatched', null, []],
    ['in quarantine', '2027-02-28', ['hold', 'concession']],
    ['on hold', '2027-02-28', ['concession']],
    ['released', '2027-02-28', ['hold', 'concession']],
    ['released', '2027-03-01', ['hold']],
  ])('on a roll %s with use-by %s is %j', (status, useBy, may) => {
    expect(on(status, useBy)).toEqual(may);
  });
  it('under a concession is to take it back', () => {
    expect(on('released', '2027-04-01', true)).toEqual(['take back']);
  });
});

describe('a roll', () => {
  it('is planned only once it is released, and no longer when it is held', async () => {
    const code = await roll('in quarantine');
    expect(await plannable(code)).toBe(false);
    await decide(code, 'release');
    expect(await plannable(code)).toBe(true);
    await decide(code, 'hold', { reason: 'streak seen at set 3' });
    expect(await plannable(code)).toBe(false);
    const history = await rollHistory(db, code);
    expect(history.map(({ kind, by, reason, statuses }) => [kind, by, reason, statuses])).toEqual([
      ['status', 'Quality', 'streak seen at set 3', [{ was: 'released', becomes: 'on hold' }]],
      ['status', 'Quality', 'because', [{ was: 'in quarantine', becomes: 'released' }]],
      ['entered', 'this computer', 'entered by hand', [{ was: null, becomes: 'in quarantine' }]],
    ]);
  });

  it('is not decided on without a reason', async () => {
    const code = await roll('in quarantine');
    const decided = await decide(code, 'release', { reason: ' ' });
    expect(decided).toMatchObject({ ok: false, faults: [{ field: 'reason', wrong: 'Why is missing' }] });
    expect(await now(code)).toMatchObject({ status: 'in quarantine' });
  });

  it('past its use-by day is not simply released', async () => {
    const code = await roll('in quarantine', '2027-02-20');
    await expect(decide(code, 'release')).rejects.toThrow(/was to be used by 2027-02-20/);
    expect(await plannable(code)).toBe(false);
  });

  it('past its use-by day takes an approver, a day to come and a test to be used all the same', async () => {
    const code = await roll('released', '2027-02-20');
    expect(await plannable(code)).toBe(false);
    const without = async (left: object) => {
      const decided = await decide(code, 'concession', { ...concession, ...left });
      return decided.ok ? 'taken' : decided.faults.map(({ field }) => field).join();
    };
    expect(await without({ approver: '' })).toBe('approver');
    expect(await without({ until: '2027-02-27' })).toBe('until');
    expect(await without({ test: '' })).toBe('test');
    expect(await without({})).toBe('taken');
    expect(await plannable(code)).toBe(true);
    expect(await plannable(code, '2027-04-01' as IsoDate)).toBe(true);
    expect(await plannable(code, '2027-04-02' as IsoDate)).toBe(false);
  });

  it('gets its own use-by day back when the concession is taken back', async () => {
    const code = await roll('in quarantine', '2027-02-20');
    await decide(code, 'concession', concession);
    expect(await now(code)).toEqual({ status: 'released', use_by: '2027-04-01' });
    expect((await whatMayBeDecided(db, code, TODAY)).concession).toMatchObject({ approver: 'Dr Quality' });
    await decide(code, 'take back', { reason: 'blocked on the shaft' });
    expect(await now(code)).toEqual({ status: 'on hold', use_by: '2027-02-20' });
    await expect(decide(code, 'take back')).rejects.toThrow(/no concession is in force/);
    await expect(decide(code, 'release')).rejects.toThrow(/was to be used by 2027-02-20/);
  });

  it('can be conceded again after the day until which it was', async () => {
    const code = await roll('on hold', '2027-02-20');
    await decide(code, 'concession', concession);
    const later = '2027-05-01' as IsoDate;
    expect(await plannable(code, later)).toBe(false);
    const again = await decide(code, 'concession', { ...concession, until: '2027-06-01' }, later);
    expect(again.ok).toBe(true);
    expect(await plannable(code, later)).toBe(true);
    await decide(code, 'take back', {}, later);
    expect(await now(code)).toEqual({ status: 'on hold', use_by: '2027-02-20' });
  });

  it('without a use-by day is conceded until a day, and not longer', async () => {
    const code = await roll('on hold');
    await decide(code, 'concession', { ...concession, test: '' });
    expect(await plannable(code)).toBe(true);
    expect(await plannable(code, '2027-04-02' as IsoDate)).toBe(false);
  });

  it('is decided on once when two people do at the same time; the other is told', async () => {
    const code = await roll('in quarantine');
    const both = await Promise.allSettled([decide(code, 'release'), decide(code, 'release')]);
    expect(both.map(({ status }) => status).sort()).toEqual(['fulfilled', 'rejected']);
    const refused = both.find((one) => one.status === 'rejected');
    expect(String(refused?.status === 'rejected' && refused.reason)).toMatch(/it is released/);
  });

  it.each(DECISIONS)('that does not exist cannot be decided on (%s)', async (decision) => {
    await expect(decide('nobody', decision, concession)).rejects.toThrow(/There is no roll nobody/);
  });
});

describe('a finished roll of an order', () => {
  it('counts for it no longer when it is held, and again when it is released', async () => {
    const order = {
      code: 'T-ONE',
      customer: 'C-01',
      product: 'CP-10',
      widthUm: '83',
      lengthMm: '300',
      rolls: '1',
    };
    expect((await saveRow(db, RESOURCES.orders, order)).ok).toBe(true);
    const parent = await roll('released');
    const child = { kind: 'finished', item: 'CP-10', widthUm: 83_000, lengthMm: 300_000, massMg: 0 } as const;
    await makeOf(db, parent, [{ ...child, code: 'T-ONE-1', order: 'T-ONE' }]);
    const status = async () => (await db('order_lines').where('code', 'T-ONE').first('status')).status;
    expect((await decide('T-ONE-1', 'hold')).ok).toBe(true);
    expect(await status()).toBe('open');
    expect((await decide('T-ONE-1', 'release')).ok).toBe(true);
    expect(await status()).toBe('made');
    expect((await decide('T-ONE-1', 'hold')).ok).toBe(true);
    expect(await status()).toBe('open');
  });
});

describe('the plain form of a roll that exists', () => {
  it('does not change its status', async () => {
    const code = await roll('on hold');
    const saved = await saveRow(db, RESOURCES.rolls, { status: 'released' }, { code });
    expect(saved).toMatchObject({
      ok: false,
      faults: [{ field: 'status', wrong: 'it is on hold, and a form does not change that' }],
    });
    expect(await now(code)).toMatchObject({ status: 'on hold' });
    expect((await saveRow(db, RESOURCES.rolls, { status: 'on hold', location: 'C1-1' }, { code })).ok).toBe(
      true,
    );
  });

  it('moves a use-by day to an earlier one only', async () => {
    const code = await roll('released', '2027-06-01');
    const later = await saveRow(db, RESOURCES.rolls, { useBy: '2027-07-01' }, { code });
    expect(later).toMatchObject({ ok: false, faults: [{ field: 'useBy' }] });
    expect(await saveRow(db, RESOURCES.rolls, { useBy: '' }, { code })).toMatchObject({ ok: false });
    expect((await saveRow(db, RESOURCES.rolls, { useBy: '2027-05-01' }, { code })).ok).toBe(true);
  });
});

describe('a file of rolls', () => {
  it('may change a status, and the ledger says who did', async () => {
    const code = await roll('released');
    const file = Buffer.from(`Roll,Status\n${code},on hold\n`);
    expect(
      await applyImport(db, RESOURCES.rolls, file, { mode: 'all-or-nothing', by: 'Mara' }),
    ).toMatchObject({ changed: 1 });
    expect((await rollHistory(db, code))[0]).toMatchObject({
      by: 'Mara',
      reason: 'imported from a file',
      statuses: [{ was: 'released', becomes: 'on hold' }],
    });
  });

  it('does not move a use-by day to a later one', async () => {
    const code = await roll('released', '2027-02-20');
    const file = Buffer.from(`Roll,Use by\n${code},2027-09-01\n`);
    const result = await applyImport(db, RESOURCES.rolls, file, { mode: 'all-or-nothing' });
    expect(result.faults[0]?.wrong).toBe('the roll is to be used by 2027-02-20');
  });
});

describe('first expired, first out', () => {
  it('counts released rolls that are not expired, the soonest use-by first', async () => {
    const soon = await roll('released', '2027-03-02');
    const held = await roll('on hold', '2027-03-02');
    const past = await roll('released', '2027-02-02');
    const order = await inUseOrder(db, [soon, held, past, 'R7031'], TODAY);
    expect(order.get(soon)?.place).toBe(1);
    expect(order.get(held)).toBeUndefined();
    expect(order.get(past)).toBeUndefined();
    expect(order.get('R7031')?.place).toBeGreaterThan(1);
    expect(order.get('R7031')?.of).toBe(order.get(soon)?.of);
  });
});
