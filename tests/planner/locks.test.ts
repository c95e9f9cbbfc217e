// Planning around runs that stay as they are: what is kept is unchanged, what is left is planned, what failed is not used.
import { describe, expect, it, test } from 'vitest';
import { type Plan, untimed } from '../../src/domain/plan.ts';
import { parseProblem, printFault } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { planAround } from '../../src/planner/planAround.ts';
import { makePlan } from '../../src/usecases/planning/makePlan.ts';
import { fixtureDocument, fixturePlan } from '../support/planFixture.ts';
import { randomProblem, seeded } from './reference/randomProblem.ts';

const SECONDS = 2;
const range = (from: number, to: number) => Array.from({ length: to - from + 1 }, (_, k) => from + k);
const clock = () => {
  const start = performance.now();
  return { secondsLeft: () => SECONDS - (performance.now() - start) / 1000, report: () => {} };
};

function plan(document: ProblemDocument): Plan {
  const made = makePlan(document, clock());
  if (made.ok) return made.plan;
  throw new Error(
    made.faults.map((fault) => (typeof fault === 'string' ? fault : printFault(fault))).join('\n'),
  );
}
function read(document: ProblemDocument) {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(parsed.faults.map(printFault).join('\n'));
  return parsed.problem;
}
const slack = (cost: number) => 1e-6 * Math.max(1, Math.abs(cost));

/** The random problem with set-ups, dates and lateness that cost something. */
function busyProblem(seed: number): ProblemDocument {
  const document = randomProblem(seed);
  const random = seeded(seed + 1_000_000);
  for (const slitter of document.slitters) {
    slitter.minutesPerSetup = Math.floor(random() * 40);
    slitter.minutesPerKnifeMove = Math.floor(random() * 3);
  }
  if (random() < 0.5) {
    document.planOn = '2027-03-01';
    document.costs = { ...document.costs, perLateRollDay: 1 };
    for (const order of document.orders) order.dueOn = random() < 0.5 ? '2027-03-01' : '2027-02-27';
  }
  return document;
}

describe('random problems planned around some of their runs', () => {
  test.each(range(0, process.env.LANEWRIGHT_MANY ? 7 : 4))(
    'block %d: kept runs are unchanged and first, the plan is valid, the bound is true',
    (block) => {
      for (const seed of range(block * 8 + 1, block * 8 + 8)) {
        const document = busyProblem(seed);
        const before = plan(document);
        if (before.runs.length === 0) continue;
        const random = seeded(seed);
        const locks = before.runs.filter(() => random() < 0.4).map(untimed);
        const untouched = before.runs.flatMap((run) => run.from.map(({ roll }) => roll));
        const failed = untouched.filter(
          (roll) => !locks.some((lock) => lock.from.some((from) => from.roll === roll)),
        );
        const excludeRolls = random() < 0.5 ? failed.slice(0, 1) : [];
        const again: ProblemDocument = { ...document, locks, limits: { ...document.limits, excludeRolls } };
        const after = plan(again);
        const what = `seed ${seed}, ${locks.length} kept, without ${excludeRolls}`;
        expect(after.runs.slice(0, locks.length).map(untimed), what).toEqual(locks);
        const used = new Set(after.runs.flatMap((run) => run.from.map(({ roll }) => roll)));
        for (const roll of excludeRolls) expect(used.has(roll), what).toBe(false);
        expect(after.bound.cost, what).toBeLessThan(after.cost.total + slack(after.cost.total));
        // Around kept runs nothing can be cheaper than any plan at all.
        expect(after.cost.total, what).toBeGreaterThan(before.bound.cost - slack(before.bound.cost));
        // With nothing excluded and no date to hold, the plan that was there is still one.
        if (excludeRolls.length === 0 && !document.planOn)
          expect(after.bound.cost, what).toBeLessThan(
            before.cost.total + reordered(before, locks) + slack(before.cost.total),
          );
      }
    },
  );

  /** What moving the kept runs to the front may cost in set-ups, at most. */
  function reordered(before: Plan, locks: object[]): number {
    return locks.length === before.runs.length ? 0 : before.cost.setups + 2 * 60 * before.runs.length * 90;
  }

  test('keeping every run gives the same plan for the same cost', () => {
    let proved = 0;
    for (const seed of range(201, 218)) {
      const document = busyProblem(seed);
      const before = plan(document);
      const after = plan({ ...document, locks: before.runs.map(untimed) });
      if (before.status === 'short') continue;
      proved++;
      expect(after.runs, `seed ${seed}`).toEqual(before.runs);
      for (const part of ['material', 'setups', 'running', 'late', 'short'] as const)
        expect(after.cost[part], `seed ${seed} ${part}`).toBeCloseTo(before.cost[part], 6);
    }
    expect(proved).toBeGreaterThan(7);
  });
});

describe('a plant after its first run', () => {
  const locks = () => fixturePlan().runs.slice(0, 1).map(untimed);
  it('begins behind what is taken, with the knives as they stand', () => {
    const document = { ...fixtureDocument(), locks: locks() };
    const made = plan(document);
    expect(untimed(made.runs[0]!)).toEqual(locks()[0]);
    const [first] = locks()[0]!.from;
    const next = made.runs
      .flatMap((run, r) => (r === 0 ? [] : run.from))
      .filter(({ roll }) => roll === first!.roll);
    const end = first!.startM + first!.sets * locks()[0]!.lengthM;
    for (const from of next) expect(from.startM).toBeGreaterThanOrEqual(end - 1e-9);
  });
  it('takes no more of a roll that failed, though its locked run stands', () => {
    const document = fixtureDocument();
    document.rolls!.push({ ...document.rolls![0]!, id: 'spare' });
    document.locks = locks();
    document.limits = { excludeRolls: ['R7030'] };
    const made = plan(document);
    expect(made.runs.slice(1).flatMap((run) => run.from.map(({ roll }) => roll))).not.toContain('R7030');
    expect(made.runs.length).toBeGreaterThan(1);
  });
  it('is caught by the checker when a kept run was changed, moved or its roll used up otherwise', () => {
    const problem = read({ ...fixtureDocument(), locks: locks() });
    const made = planAround(problem, clock());
    expect(checkPlan(problem, made).map(printPlanFault)).toEqual([]);
    const rules = (change: (plan: Plan) => void) => {
      const copy = structuredClone(made);
      change(copy);
      return checkPlan(problem, copy).map(({ rule }) => rule);
    };
    expect(rules((copy) => (copy.runs[0]!.sets -= 1))).toContain('locked-run');
    expect(rules((copy) => (copy.runs[0]!.from[0]!.startM += 1))).toContain('locked-run');
    expect(rules((copy) => copy.runs.reverse())).toContain('locked-run');
    expect(rules((copy) => copy.runs.shift())).toContain('locked-run');
    const excluded = { ...problem, excludeRolls: ['R7030'] };
    expect(checkPlan(excluded, made).map(({ rule }) => rule)).toContain('excluded-roll');
  });
});

describe('faulty locks', () => {
  const faults = (change: (document: ProblemDocument) => void) => {
    const document: ProblemDocument = {
      ...fixtureDocument(),
      locks: fixturePlan().runs.slice(0, 1).map(untimed),
    };
    change(document);
    const made = makePlan(document, clock());
    return made.ok ? [] : made.faults.map((fault) => (typeof fault === 'string' ? fault : fault.path));
  };
  it('accepts a run as the plan file has it', () => {
    expect(faults((document) => (document.locks = fixturePlan().runs.slice(0, 1)))).toEqual([]);
  });
  it.each([
    ['locks[0].slitter', (d: ProblemDocument) => (d.locks![0]!.slitter = 'SL-9')],
    ['locks[0].from[0].roll', (d: ProblemDocument) => (d.locks![0]!.from[0]!.roll = 'R1')],
    ['locks[0].sets', (d: ProblemDocument) => (d.locks![0]!.sets += 1)],
    ['locks[0].strips[0].order', (d: ProblemDocument) => (d.locks![0]!.strips[0]!.order = 'SO-9')],
    ['locks[0].strips[0]', (d: ProblemDocument) => (d.locks![0]!.strips[0]!.waste = true)],
    ['locks[0].strips[0]', (d: ProblemDocument) => (d.locks![0]!.strips[0]!.fromMm -= 1)],
    ['limits.excludeRolls[0]', (d: ProblemDocument) => (d.limits = { excludeRolls: ['R1'] })],
    ['locks[0].from[0].startM', (d: ProblemDocument) => (d.locks![0]!.from[0]!.startM = 1)],
    ['locks[0].from[0]', (d: ProblemDocument) => (d.locks![0]!.from[0]!.startM = 11_300)],
    [
      'locks',
      (d: ProblemDocument) =>
        (d.locks = [...d.locks!, ...d.locks!, ...d.locks!].map((lock) => ({ ...lock }))),
    ],
  ])('are named at %s', (path, change) =>
    expect(faults(change as (d: ProblemDocument) => void)).toContain(path),
  );
});

describe('kept runs take their time first', () => {
  const day = { minutesPerSetChange: 480, calendar: { minutesPerDay: 480 } };
  const document: ProblemDocument = {
    format: 'lanewright-problem/1',
    planOn: '2027-03-01',
    slitters: [{ id: 'S', ...day }],
    products: [{ id: 'P' }],
    rolls: [
      { id: 'R', widthMm: 500, lengthM: 200, costPerRoll: 2 },
      { id: 'OLD', widthMm: 500, lengthM: 100, costPerRoll: 1, useBy: '2027-03-02' },
      { id: 'NEW', widthMm: 500, lengthM: 100, costPerRoll: 5 },
    ],
    orders: [
      { id: 'A', product: 'P', widthMm: 500, lengthM: 100, rolls: 2 },
      { id: 'B', product: 'P', widthMm: 400, lengthM: 100, rolls: 1, dueOn: '2027-03-01' },
    ],
    costs: { perLateRollDay: 1 },
  };
  const lock = {
    ...{ slitter: 'S', product: 'P', lengthM: 100, sets: 2, trimLeftMm: 0, trimRightMm: 0 },
    strips: [{ fromMm: 0, toMm: 500, order: 'A' }],
    from: [{ roll: 'R', sets: 2, startM: 0 }],
  };

  it('so that a roll is not planned for a day after its use-by date', () => {
    // a set a day: without the kept run OLD is cut on the first, with it nothing else is cut before the third
    const used = (plan: Plan) => plan.runs.flatMap((run) => run.from.map(({ roll }) => roll));
    expect(used(plan(document))).toContain('OLD');
    const around = plan({ ...document, locks: [lock] });
    expect(used(around)).toEqual(['R', 'NEW']);
    expect(around.runs.map(({ startsOn }) => startsOn)).toEqual(['2027-03-01', '2027-03-03']);
  });

  it('and the lateness that follows is in the bound', () => {
    const rolls = document.rolls!.filter(({ id }) => id !== 'OLD');
    const around = plan({ ...document, rolls, locks: [lock] });
    expect(around.cost.late).toBe(2);
    expect(around.status).toBe('best');
  });
});
