// The yield account of sets that were really released and recorded: planned and actual of the same sets, every loss by
// its cause, and all of it adding up to what left the rolls.
import type { Knex } from 'knex';
import { beforeAll, describe, expect, it } from 'vitest';
import type { Plan, Run } from '../../src/domain/plan.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { byCause, yieldOf } from '../../src/domain/yieldAccount.ts';
import { readYield } from '../../src/usecases/afterwards/readYield.ts';
import { scrapFinished } from '../../src/usecases/machine/correctFinished.ts';
import { recordSets } from '../../src/usecases/machine/recordSets.ts';
import { releasePlan } from '../../src/usecases/machine/releasePlan.ts';
import { undoLatest } from '../../src/usecases/machine/undoLatest.ts';
import { seedDemo } from '../../src/usecases/seedDemo.ts';
import { freshDatabase } from '../support/database.ts';
import { act, storePlanOf } from '../support/machine.ts';

const TODAY = '2027-03-01' as IsoDate;
const ASKED = { from: '2000-01-01', until: '2100-01-01' };
const TAIL_MM = 1500;
const PASSED_MM = 40_000;

let db: Knex;
let plan: Plan;
let run: Run;
let roll: { code: string; width_um: number; cost_per_roll: number; length_mm: number };
let release: number;
const record = (more: object) =>
  recordSets(db, release, run.sequence, {
    ...act('Olga'),
    roll: roll.code,
    sets: 1,
    passedMm: 0,
    tailMm: TAIL_MM,
    cutOuts: [],
    exceptions: [],
    today: TODAY,
    ...more,
  });
const causes = async () =>
  new Map(byCause((await readYield(db, ASKED)).facts).map((one) => [one.cause, one]));
const m2 = (widthUm: number, lengthMm: number) => (widthUm * lengthMm) / 1e9;

beforeAll(async () => {
  db = await freshDatabase();
  await seedDemo(db, TODAY);
  const stored = await storePlanOf(db, TODAY, ['SO-4102', 'SO-4103']);
  plan = stored.plan;
  run = [...plan.runs].sort((a, b) => b.sets - a.sets)[0] as Run;
  const code = [...run.from].sort((a, b) => b.sets - a.sets)[0]?.roll as string;
  roll = await db('rolls').where({ code }).first();
  const done = await releasePlan(db, stored.id, { ...act(), runs: 'all', today: TODAY });
  if (!done.ok) throw new Error(JSON.stringify(done.faults));
  release = done.id;
  const wound = run.strips.findIndex(({ waste }) => !waste) + 1;
  await record({ sets: 2, passedMm: PASSED_MM });
  await record({ exceptions: [{ set: 1, strip: wound, what: 'scrap', cause: 'wrinkles' }] });
}, 60_000);

describe('the yield account', () => {
  const lengthMm = () => run.lengthM * 1000;
  const widths = (of: (strip: Run['strips'][number]) => boolean) =>
    run.strips.filter(of).reduce((sum, { fromMm, toMm }) => sum + (toMm - fromMm) * 1000, 0);

  it('is empty where nothing was cut', async () => {
    expect((await readYield(db, { from: '2000-01-01', until: '2001-01-01' })).facts).toEqual([]);
  });

  it('adds up to everything that left the roll', async () => {
    const { facts } = await readYield(db, ASKED);
    const left = m2(roll.width_um, PASSED_MM + 3 * (lengthMm() + TAIL_MM));
    expect(yieldOf('all', facts).usedM2).toBeCloseTo(left, 3);
    const now = await db('rolls').where('code', roll.code).first('mass_kg');
    const before = Number(
      (await db('movements').where({ roll: roll.code, side: 'in' }).sum({ n: 'mass_mg' }))[0]?.n,
    );
    const kg = facts.reduce((sum, fact) => sum + fact.actualKg, 0);
    expect(kg).toBeCloseTo(before / 1e6 - Number(now.mass_kg), 6);
  });

  it('gives each cause its planned and its actual area', async () => {
    const found = await causes();
    const sets = 3;
    const good = widths(({ waste }) => !waste);
    const wound = run.strips.find(({ waste }) => !waste) as Run['strips'][number];
    const scrap = m2((wound.toMm - wound.fromMm) * 1000, lengthMm());
    expect(found.get('good rolls')?.plannedM2).toBeCloseTo(sets * m2(good, lengthMm()), 6);
    expect(found.get('good rolls')?.actualM2).toBeCloseTo(sets * m2(good, lengthMm()) - scrap, 3);
    expect(found.get('scrap: wrinkles')?.actualM2).toBeCloseTo(scrap, 3);
    expect(found.get('scrap: wrinkles')?.plannedM2).toBe(0);
    const trim = roll.width_um - widths(() => true);
    expect(found.get('edge trim')?.plannedM2).toBeCloseTo(sets * m2(trim, lengthMm()), 6);
    expect(found.get('edge trim')?.actualM2).toBeCloseTo(sets * m2(trim, lengthMm()), 3);
    const { lead_in_mm, tail_mm } = await db('slitters').where('code', run.slitter).first();
    expect(found.get('lead-in')?.plannedM2).toBeCloseTo(m2(roll.width_um, lead_in_mm), 6);
    expect(found.get('lead-in')?.actualM2).toBeCloseTo(m2(roll.width_um, PASSED_MM), 3);
    expect(found.get('tail')?.plannedM2).toBeCloseTo(sets * m2(roll.width_um, tail_mm), 6);
  });

  it('says what a loss cost by the worth of the roll in its plan', async () => {
    const perM2 = roll.cost_per_roll / m2(roll.width_um, roll.length_mm);
    const lost = (await causes()).get('scrap: wrinkles');
    expect(lost?.cost).toBeCloseTo((lost?.actualM2 ?? 0) * perM2, 6);
  });

  it('moves a roll that is scrapped later from the good rolls to its cause', async () => {
    const before = await causes();
    const made = await db('rolls').where({ kind: 'finished', status: 'released' }).orderBy('code').first();
    await scrapFinished(db, made.code, 'telescoped', { ...act(), reason: 'seen at packing' });
    const after = await causes();
    const area = m2(made.width_um, made.length_mm);
    expect(after.get('scrap: telescoped')?.actualM2).toBeCloseTo(area, 6);
    const good = (of: typeof before) => of.get('good rolls')?.actualM2 ?? 0;
    expect(good(after)).toBeCloseTo(good(before) - area, 6);
  });

  it('forgets a set that was taken back', async () => {
    const before = await causes();
    await record({ exceptions: [{ set: 1, strip: 1, what: 'scrap', cause: 'dirt' }] });
    const { entry } = await db('recordings').orderBy('entry', 'desc').first('entry');
    await undoLatest(db, release, roll.code, { ...act(), entry, reason: 'counted wrongly' });
    expect(await causes()).toEqual(before);
  });

  it('knows machine, product, week and lot, and narrows to one of them', async () => {
    const { facts, choices } = await readYield(db, ASKED);
    expect(choices.machine).toEqual([run.slitter]);
    expect(choices.product).toEqual([run.product]);
    expect(facts.every(({ week }) => new Date(week).getUTCDay() === 1)).toBe(true);
    expect((await readYield(db, { ...ASKED, machine: 'nowhere' })).facts).toEqual([]);
  });
});
