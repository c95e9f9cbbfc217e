// Recording what happened at a slitter: sets, what did not go as planned, the end of a roll, and corrections of all that.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Plan, Run } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { bookStatus, openEntry } from '../../src/store/ledger.ts';
import { findReleases, findRuns } from '../../src/store/releases.ts';
import { changeFinishedLength, scrapFinished } from '../../src/usecases/machine/correctFinished.ts';
import { recordSets, type SetsCut } from '../../src/usecases/machine/recordSets.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { undoLatest } from '../../src/usecases/machine/undoLatest.ts';
import { closeRun, withdrawRuns } from '../../src/usecases/machine/withdrawRuns.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { act, storePlanOf } from '../support/machine.ts';

const TODAY = '2027-03-01' as IsoDate;
let db: Knex;
let plan: Plan;
let release: number;
let run: Run;
let roll: string;
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  const stored = await storePlanOf(db, TODAY, ['SO-4102', 'SO-4103']);
  plan = stored.plan;
  const done = await releasePlan(db, stored.id, { ...act(), runs: 'all', today: TODAY });
  if (!done.ok) throw new Error(JSON.stringify(done.faults));
  release = done.id;
  [run] = plan.runs.filter((one) => one.lengthM === 300).sort((a, b) => b.sets - a.sets) as [Run];
  roll = [...run.from].sort((a, b) => b.sets - a.sets)[0]?.roll as string;
}, 60_000);

const cut = (more: Partial<SetsCut> = {}): SetsCut => ({
  ...act('Olga'),
  roll,
  sets: 1,
  passedMm: 0,
  tailMm: 1500,
  cutOuts: [],
  exceptions: [],
  today: TODAY,
  ...more,
});
const record = (more: Partial<SetsCut> = {}, sequence = run.sequence) =>
  recordSets(db, release, sequence, cut(more));
const rollRow = async (code = roll) => db('rolls').where('code', code).first();
// biome-ignore lint/suspicious/noExplicitAny: rows as the database has them
const made = (order?: string): Promise<any[]> =>
  db('rolls')
    .where('kind', 'finished')
    .whereNot('status', 'used up')
    .modify((rows) => order && rows.where('order_line', order))
    .orderBy('code')
    .then((rows) => rows);
const runNow = async () => (await findRuns(db, [release])).find(({ sequence }) => sequence === run.sequence);
const latest = async (code = roll) =>
  (await db('recordings').where('roll', code).whereNull('undone_by').orderBy('entry', 'desc').first()).entry;
const undo = async (code = roll) =>
  undoLatest(db, release, code, { ...act('Olga'), entry: await latest(code), reason: 'counted wrongly' });
const good = () => run.strips.filter((strip) => !strip.waste).length;

describe('recording sets', () => {
  it('makes the finished rolls, takes the metres off the roll and moves run and orders on', async () => {
    const before = await rollRow();
    expect(await record({ sets: 2, passedMm: 30_000 })).toMatchObject({ ok: true, repeated: false });
    const after = await rollRow();
    expect(after.length_mm).toBe(before.length_mm - 30_000 - 2 * (run.lengthM * 1000 + 1500));
    const rolls = await made();
    expect(rolls).toHaveLength(2 * good());
    expect(rolls[0]).toMatchObject({
      code: 'F0000001',
      status: 'released',
      lot: before.lot,
      item: before.item,
    });
    expect(rolls.every((one) => one.length_mm === run.lengthM * 1000)).toBe(true);
    expect(await runNow()).toMatchObject({ setsCut: 2, status: 'being cut' });
    const strips = run.strips.filter((strip) => strip.order === 'SO-4102').length;
    expect(await made('SO-4102')).toHaveLength(2 * strips);
    expect(await db('order_progress').where('order_line', 'SO-4102').first()).toMatchObject({
      made: 2 * strips,
    });
    const causes = await db('movements').where({ roll, side: 'loss', cause: 'lead-in' });
    expect(causes).toMatchObject([{ length_mm: -30_000 }]);
  });

  it('does one form once, also when it is sent three times at once', async () => {
    const before = await made();
    const once = cut();
    const sent = await Promise.all([1, 2, 3].map(() => recordSets(db, release, run.sequence, once)));
    expect(sent.map((one) => one.ok && one.repeated).sort()).toEqual([false, true, true]);
    expect(await made()).toHaveLength(before.length + good());
    await undo();
  });

  it('books a short roll, scrap and a join of single strips', async () => {
    const wound = run.strips.flatMap((strip, i) => (strip.waste ? [] : [i + 1])) as [number, number, number];
    const before = (await made()).length;
    await record({
      exceptions: [
        { set: 1, strip: wound[0], what: 'short', lengthMm: 100_000 },
        { set: 1, strip: wound[1], what: 'scrap', cause: 'wrinkles' },
        { set: 1, strip: wound[2], what: 'splice' },
      ],
    });
    const rolls = (await made()).slice(before);
    expect(rolls).toHaveLength(good() - 1);
    expect(rolls[0]).toMatchObject({ length_mm: 100_000, status: 'released' });
    expect(rolls[1]).toMatchObject({
      splices: 1,
      status: 'on hold',
      note: expect.stringContaining('1 joins, 0 allowed'),
    });
    const entry = await latest();
    const lost = await db('movements').where({ entry, side: 'loss' }).pluck('cause');
    expect(lost).toEqual(expect.arrayContaining(['scrap: wrinkles', 'short roll', 'edge trim', 'tail']));
    const coming = await db('order_progress').where('order_line', 'SO-4102').first();
    expect(coming.made).toBe(
      (await made('SO-4102')).filter((one) => one.status === 'released' && one.length_mm === 300_000).length,
    );
    await undo();
  });

  it('cuts out what the counter says, and makes the joined rolls on hold where none are allowed', async () => {
    const { length_mm: whole } = await db('released_rolls').where({ release, roll }).first();
    const at = whole - (await rollRow()).length_mm;
    const before = (await made()).length;
    await record({ cutOuts: [{ fromMm: at + 50_000, toMm: at + 52_000, kind: 'flag' }] });
    expect((await made()).slice(before).every((one) => one.splices === 1 && one.status === 'on hold')).toBe(
      true,
    );
    expect(whole - (await rollRow()).length_mm - at).toBe(run.lengthM * 1000 + 1500 + 2000);
    await undo();
    expect(await record({ cutOuts: [{ fromMm: 10, toMm: 20, kind: 'flag' }] })).toMatchObject({
      ok: false,
      faults: [{ field: 'cutOuts', wrong: expect.stringContaining('does not lie in these sets') }],
    });
  });

  it.each([
    [{ sets: 0 }, 'sets'],
    [{ sets: 1.5 }, 'sets'],
    [{ passedMm: -1 }, 'passed'],
    [{ exceptions: [{ set: 2, strip: 1, what: 'splice' as const }] }, 'exception-1'],
    [{ exceptions: [{ set: 1, strip: 99, what: 'splice' as const }] }, 'exception-1'],
    [{ exceptions: [{ set: 1, strip: 0, what: 'short' as const, lengthMm: 9e9 }] }, 'exception-1'],
    [{ exceptions: [{ set: 1, strip: 0, what: 'scrap' as const, cause: 'no idea' }] }, 'exception-1'],
    [{ sets: 0, end: { remainderMm: 10, keep: false, cause: undefined } }, 'end'],
  ])('says what is wrong with %j and keeps nothing of it', async (more, field) => {
    const entries = await db('entries').count({ n: '*' });
    expect(await record(more)).toMatchObject({ ok: false, faults: [{ field }] });
    expect(await db('entries').count({ n: '*' })).toEqual(entries);
  });
});

describe('refusing', () => {
  const status = (code: string, becomes: string) =>
    db.transaction(async (trx) => {
      const entry = await openEntry(trx, { kind: 'status', by: 'test', reason: 'a test' });
      await bookStatus(trx, entry.id, [code], becomes);
    });

  it('refuses more than the roll holds', async () => {
    await expect(record({ sets: 200 })).rejects.toMatchObject({ code: 'roll-too-short' });
  });
  it('refuses a run that was never released', async () => {
    await expect(record({}, 77)).rejects.toMatchObject({ code: 'run-not-released' });
    await expect(recordSets(db, 999, 1, cut())).rejects.toMatchObject({ code: 'not-found' });
  });
  it('refuses a roll that is not part of the run, and says where a roll is that is at another machine', async () => {
    const other = (await db('rolls').where({ kind: 'coated', item: 'CP-20' }).first()).code;
    await expect(record({ roll: other })).rejects.toMatchObject({ code: 'roll-not-of-run' });
    const elsewhere = await storePlanOf(db, TODAY, ['SO-4137']);
    const done = await releasePlan(db, elsewhere.id, { ...act(), runs: 'all', today: TODAY });
    expect(done.ok).toBe(true);
    const [wide] = elsewhere.plan.runs as [Run];
    await expect(record({ roll: wide.from[0]?.roll as string })).rejects.toMatchObject({
      code: 'roll-elsewhere',
      facts: { slitter: run.slitter, other: wide.slitter },
    });
  }, 30_000);
  it('refuses a roll on hold or in quarantine, and one past its use-by day', async () => {
    for (const becomes of ['on hold', 'in quarantine']) {
      await status(roll, becomes);
      await expect(record()).rejects.toMatchObject({
        code: 'roll-not-usable',
        facts: { why: `is ${becomes}` },
      });
    }
    await status(roll, 'released');
    await expect(record({ today: '2099-01-01' })).rejects.toMatchObject({ code: 'roll-not-usable' });
  });
  it('refuses a withdrawn run', async () => {
    const waiting = (await findRuns(db, [release])).filter((one) => one.status === 'waiting').at(-1);
    expect(waiting).toBeDefined();
    const sequence = waiting?.sequence as number;
    await withdrawRuns(db, release, { ...act(), runs: [sequence], reason: 'no longer wanted' });
    await expect(record({ roll: waiting?.run.from[0]?.roll as string }, sequence)).rejects.toMatchObject({
      code: 'run-withdrawn',
    });
    await expect(
      withdrawRuns(db, release, { ...act(), runs: [run.sequence], reason: 'begun' }),
    ).rejects.toMatchObject({ code: 'run-begun' });
  });
});

describe('correcting', () => {
  it('undoes the latest set of a roll: metres, map, rolls, run and orders stand as before', async () => {
    const streak = {
      roll,
      position: 0,
      from_mm: 400_000,
      to_mm: 2_600_000,
      from_um: 0,
      to_um: 3000,
      kind: 'streak',
    };
    await db('roll_defects').where({ roll }).delete();
    await db('roll_defects').insert(streak);
    const before = { roll: await rollRow(), run: await runNow(), made: await made() };
    const map = await db('roll_defects').where({ roll }).orderBy('position');
    await record({ sets: 3 });
    for (let i = 0; i < 3; i++) await undo();
    const after = { roll: await rollRow(), run: await runNow(), made: await made() };
    expect({ ...after.roll, cost_per_roll: 0 }).toEqual({ ...before.roll, cost_per_roll: 0 });
    expect(after.roll.cost_per_roll).toBeCloseTo(before.roll.cost_per_roll, 2);
    expect(after.run).toEqual(before.run);
    expect(after.made).toEqual(before.made);
    expect(await db('roll_defects').where({ roll }).orderBy('position')).toEqual(map);
    const undone = await db('entries')
      .where('kind', 'corrected')
      .whereNotNull('corrects')
      .orderBy('id', 'desc')
      .first();
    expect(undone).toMatchObject({ reason: 'counted wrongly', by_whom: 'Olga' });
  });

  it('undoes only what is the latest still, and not once its rolls have changed', async () => {
    await record();
    const first = await latest();
    await record();
    await expect(
      undoLatest(db, release, roll, { ...act(), entry: first, reason: 'too late' }),
    ).rejects.toMatchObject({ code: 'nothing-to-undo' });
    const code = (await made()).at(-1).code;
    await scrapFinished(db, code, 'damaged edge', { ...act(), reason: 'fell off the table' });
    await expect(undo()).rejects.toMatchObject({ code: 'made-rolls-changed', facts: { rolls: [code] } });
  });

  it('changes the length of a finished roll, which then counts for no order, and scraps one later', async () => {
    const one = (await made('SO-4102')).find((each) => each.status === 'released');
    const count = async () => (await db('order_progress').where('order_line', 'SO-4102').first()).made;
    const before = await count();
    const correction = () => ({ ...act(), reason: 'measured again' });
    expect((await changeFinishedLength(db, one.code, 290_000, correction())).ok).toBe(true);
    expect(await rollRow(one.code)).toMatchObject({ length_mm: 290_000 });
    expect(await count()).toBe(before - 1);
    expect(await changeFinishedLength(db, one.code, 900_000, correction())).toMatchObject({
      faults: { field: 'length' },
    });
    expect((await changeFinishedLength(db, one.code, 300_000, correction())).ok).toBe(true);
    expect(await count()).toBe(before);
    expect(await scrapFinished(db, one.code, 'bad luck', correction())).toMatchObject({
      faults: { field: 'cause' },
    });
    expect((await scrapFinished(db, one.code, 'telescoped', correction())).ok).toBe(true);
    expect(await rollRow(one.code)).toMatchObject({ length_mm: 0, status: 'used up' });
    expect(await count()).toBe(before - 1);
    await expect(scrapFinished(db, one.code, 'telescoped', correction())).rejects.toMatchObject({
      code: 'roll-not-finished',
    });
    await expect(scrapFinished(db, roll, 'telescoped', correction())).rejects.toMatchObject({
      code: 'roll-not-finished',
    });
  });
});

describe('the end of a roll', () => {
  it('counts what was measured and keeps it as a stub, which can be undone', async () => {
    const before = await rollRow();
    const remainderMm = before.length_mm - 7000;
    await record({ sets: 0, end: { remainderMm, keep: true, cause: undefined } });
    expect(await rollRow()).toMatchObject({ kind: 'stub', status: 'released', length_mm: remainderMm });
    expect(await db('movements').where({ roll, cause: 'counted' })).toMatchObject([
      { side: 'loss', length_mm: -7000 },
    ]);
    await expect(record()).rejects.toMatchObject({ code: 'roll-off-machine' });
    await undo();
    expect(await rollRow()).toMatchObject({
      kind: before.kind,
      status: 'released',
      length_mm: before.length_mm,
    });
    expect((await record()).ok).toBe(true);
    await undo();
  });

  it('writes a stub off with its cause, in one go with the last set', async () => {
    await record({ end: { remainderMm: 1000, keep: false, cause: 'too short to keep' } });
    expect(await rollRow()).toMatchObject({ length_mm: 0, status: 'used up' });
    expect(Number((await rollRow()).mass_kg)).toBe(0);
    const end = await db('entries').where('kind', 'roll finished').orderBy('id', 'desc').first();
    expect(end.details).toMatchObject({ cause: 'too short to keep', keep: false });
  });

  it('finishes the release when its runs are done or closed, and reopens what was not made', async () => {
    for (const one of await findRuns(db, [release]))
      if (one.status === 'waiting' || one.status === 'being cut')
        await closeRun(db, release, one.sequence, { ...act(), reason: 'no more today' });
    expect((await findReleases(db, {})).find(({ id }) => id === release)?.status).toBe('finished');
    expect((await db('order_lines').where('code', 'SO-4102').first()).status).toBe('open');
    expect(await db('released_rolls').where({ release, active: true })).toEqual([]);
    await expect(closeRun(db, release, run.sequence, { ...act(), reason: 'again' })).rejects.toMatchObject({
      code: 'run-done',
    });
  });
});
