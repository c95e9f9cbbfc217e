// Random sequences of releasing, withdrawing, recording and correcting, from two clients at once: whatever is accepted or
// refused, every balance holds, no metre is cut twice, and orders count exactly the good rolls that were made for them.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import { Refusal } from '../../src/domain/refusal.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { seededRandom } from '../../src/planner/model/seededRandom.ts';
import { findReleases, findRuns } from '../../src/store/releases.ts';
import { changeFinishedLength, scrapFinished } from '../../src/usecases/machine/correctFinished.ts';
import { recordSets } from '../../src/usecases/machine/recordSets.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { undoLatest } from '../../src/usecases/machine/undoLatest.ts';
import { closeRun, withdrawRuns } from '../../src/usecases/machine/withdrawRuns.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { act, storePlanOf } from '../support/machine.ts';

const TODAY = '2027-03-01' as IsoDate;
const ORDERS = ['SO-4102', 'SO-4103', 'SO-4105', 'SO-4108', 'SO-4137'];
const STEPS = Number(process.env.LANEWRIGHT_STEPS ?? 45);
let db: Knex;
let plans: number[];
let opening: { mm: number; mg: number };
beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  plans = [];
  for (const orders of [['SO-4102'], ['SO-4103', 'SO-4101'], ['SO-4137']])
    plans.push((await storePlanOf(db, TODAY, orders, 2)).id);
  opening = await lying();
}, 60_000);

/** All that lies in the house, as the rows have it. */
async function lying(): Promise<{ mm: number; mg: number }> {
  const mass = 'sum(round(coalesce(mass_kg, 0) * 1000000))::bigint as mg';
  const area = 'sum(width_um::numeric * length_mm) as mm';
  const [row] = await db('rolls').select(db.raw(area), db.raw(mass));
  return { mm: Number(row.mm), mg: Number(row.mg) };
}

/** How often each kind of step is tried. */
const OFTEN: [string, number][] = [
  ['record', 24],
  ['undo', 6],
  ['release', 4],
  ['length', 3],
  ['scrap', 3],
  ['end', 2],
  ['close', 1],
  ['withdraw', 1],
];

/** One random step; what it was, and whether it was refused. */
async function step(random: () => number): Promise<string> {
  const below = (n: number) => Math.floor(random() * n);
  const one = <T>(items: readonly T[]): T | undefined => items[below(items.length)];
  const releases = await findReleases(db, {});
  const runs = await findRuns(
    db,
    releases.map(({ id }) => id),
  );
  const open = runs.filter(({ status }) => status === 'waiting' || status === 'being cut');
  // Nothing is left to cut: plan what the orders still want from the stock as it is now.
  if (open.length === 0 && random() < 0.3) {
    const fresh = await storePlanOf(db, TODAY, [one(ORDERS) as string], 1);
    plans.push(fresh.id);
    await releasePlan(db, fresh.id, { ...act(), runs: 'all', today: TODAY });
    return 'plan the rest';
  }
  const run = (random() < 0.9 ? one(open) : undefined) ?? one(runs);
  const roll = one(run?.run.from ?? [])?.roll ?? 'R7031';
  const reason = 'a random test';
  const finished = async () =>
    one(await db('rolls').where('kind', 'finished').orderBy('code').pluck('code')) ?? 'F0000001';
  const kind = one(OFTEN.flatMap(([name, times]) => Array<string>(times).fill(name)));
  if (kind === 'release' || !run) {
    const some = random() < 0.5 ? ('all' as const) : [1, 2].slice(0, 1 + below(2));
    await releasePlan(db, one(plans) as number, { ...act(), runs: some, today: TODAY });
    return 'release';
  }
  if (kind === 'withdraw') await withdrawRuns(db, run.release, { ...act(), runs: [run.sequence], reason });
  if (kind === 'close') await closeRun(db, run.release, run.sequence, { ...act(), reason });
  if (kind === 'length')
    await changeFinishedLength(db, await finished(), 1000 * (1 + below(320)), { ...act(), reason });
  if (kind === 'scrap') await scrapFinished(db, await finished(), 'telescoped', { ...act(), reason });
  if (kind === 'undo') {
    const standing = await db('recordings')
      .where({ roll })
      .whereNull('undone_by')
      .orderBy('entry', 'desc')
      .first();
    const entry = random() < 0.9 ? (standing?.entry ?? 1) : 1;
    await undoLatest(db, standing?.release ?? run.release, roll, { ...act(), entry, reason });
  }
  if (kind === 'record' || kind === 'end') {
    const sets = kind === 'end' ? 0 : 1 + below(2);
    const at = (
      await db('recordings')
        .where({ roll, release: run.release })
        .whereNull('undone_by')
        .whereNot('what', 'end')
        .sum('used_mm as mm')
    )[0]?.mm;
    const cutAt = Number(at ?? 0) + 40_000 + below(100_000);
    const strip = below(run.run.strips.length + 1);
    const exceptions = [
      { set: below(sets + 1), strip, what: 'scrap' as const, cause: 'wrinkles' },
      { set: 1, strip: 0, what: 'short' as const, lengthMm: 1000 * (1 + below(200)) },
      { set: 1, strip: below(3), what: 'splice' as const },
    ].filter(() => sets > 0 && random() < 0.2);
    await recordSets(db, run.release, run.sequence, {
      ...act(),
      roll,
      sets,
      passedMm: random() < 0.3 ? 30_000 : 0,
      tailMm: 1500,
      cutOuts:
        sets > 0 && random() < 0.2 ? [{ fromMm: cutAt, toMm: cutAt + 1 + below(5000), kind: 'flag' }] : [],
      exceptions,
      end:
        kind === 'end' ? { remainderMm: below(3_000_000), keep: random() < 0.5, cause: 'other' } : undefined,
      today: TODAY,
    });
  }
  return String(kind);
}

/** Everything that must hold after each step. */
async function checkAll(): Promise<void> {
  const off = await db.raw(`select code from rolls r where
    length_mm <> coalesce((select sum(length_mm) from movements where roll = r.code), 0)
    or round(coalesce(mass_kg, 0) * 1000000) <> coalesce((select sum(mass_mg) from movements where roll = r.code), 0)`);
  expect(off.rows).toEqual([]);
  const torn = await db.raw(`select entry from movements group by entry
    having sum(mass_mg) filter (where cause in ('cut', 'made')) <> 0`);
  expect(torn.rows).toEqual([]);
  // What lies there and what was lost is what there was, and what was counted in. Masses; areas go with lanes.
  const [moved] = (
    await db.raw(`select coalesce(sum(mass_mg) filter (where side = 'loss'), 0)::bigint as lost,
    coalesce(sum(mass_mg) filter (where side = 'in' and cause = 'counted'), 0)::bigint as counted from movements`)
  ).rows;
  expect((await lying()).mg - moved.lost - moved.counted).toBe(opening.mg);
  // More was found on the core than the books had: what was cut before lies further out than was thought.
  const overlap = await db.raw(`select a.entry, b.entry from recordings a join recordings b
    on a.roll = b.roll and a.entry < b.entry where a.undone_by is null and b.undone_by is null
    and a.what <> 'end' and b.what <> 'end'
    and not exists (select 1 from movements m where m.roll = a.roll and m.side = 'in' and m.cause = 'counted'
      and m.entry > a.entry and m.entry < b.entry)
    and a.from_inner_mm < b.from_inner_mm + b.used_mm and b.from_inner_mm < a.from_inner_mm + a.used_mm`);
  expect(overlap.rows).toEqual([]);
  const counts =
    await db.raw(`select release, sequence from released_runs n where sets_cut <> (select count(*)
    from recordings c where c.release = n.release and c.sequence = n.sequence and c.what = 'set' and c.undone_by is null)`);
  expect(counts.rows).toEqual([]);
  const progress = await db('order_progress').select('order_line', 'made');
  const rolls = await db('rolls as r')
    .join('order_lines as o', 'o.code', 'r.order_line')
    .select('r.order_line', 'r.status', { roll: 'r.length_mm', order: 'o.length_mm' });
  for (const { order_line, made } of progress) {
    const good = rolls.filter(
      (one) => one.order_line === order_line && one.status === 'released' && one.roll >= one.order,
    );
    expect([order_line, made]).toEqual([order_line, good.length]);
  }
  const used = await db('rolls').where('length_mm', 0).whereNot('status', 'used up').pluck('code');
  expect(used).toEqual([]);
}

describe('random sequences at the machine', () => {
  it('keep every balance', { timeout: 240_000 }, async () => {
    const random = seededRandom(Number(process.env.LANEWRIGHT_FROM ?? 1));
    const done = new Map<string, number>();
    const attempt = async () => {
      try {
        const what = await step(random);
        done.set(what, (done.get(what) ?? 0) + 1);
      } catch (error) {
        if (!(error instanceof Refusal)) throw error;
        done.set(error.code, (done.get(error.code) ?? 0) + 1);
      }
    };
    for (let i = 0; i < STEPS; i++) {
      await Promise.all([attempt(), attempt()]);
      await checkAll();
    }
    expect(done.get('record') ?? 0).toBeGreaterThan(5);
    expect(done.get('undo') ?? 0).toBeGreaterThan(0);
  });
});
