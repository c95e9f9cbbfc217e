// Runs in time, from a problem to its checked plan: rush orders and due days, rolls that are ready later, use-by days,
// runs that end where a due day ends, knives that stand already.
import { describe, expect, test } from 'vitest';
import type { Plan } from '../../src/domain/plan.ts';
import { parseProblem } from '../../src/domain/problemDocument.ts';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { checkPlan } from '../../src/planner/checkPlan.ts';
import { overdueRolls, schedule } from '../../src/planner/layingOut/schedule.ts';
import { planned } from './planned.ts';

type Orders = ProblemDocument['orders'];
const order = (id: string, widthMm: number, rolls: number, more: Partial<Orders[number]> = {}) => ({
  id,
  product: 'film',
  widthMm,
  lengthM: 100,
  rolls,
  ...more,
});

/** One slitter on which a set takes an hour; rolls 400 mm wide of 10 sets. */
function plant(orders: Orders, rolls: ProblemDocument['rolls'], more: Partial<ProblemDocument> = {}) {
  const document: ProblemDocument = {
    format: 'lanewright-problem/1',
    planOn: '2027-03-01',
    slitters: [{ id: 'S', minutesPerSetChange: 60, minutesPerSetup: 60, costPerHour: 60 }],
    products: [{ id: 'film' }],
    rolls,
    orders,
    ...more,
  };
  return document;
}
const roll = (id: string, more: object = {}) => ({
  id,
  widthMm: 400,
  lengthM: 1000,
  costPerRoll: 100,
  ...more,
});
const outcome = (plan: Plan, id: string) => plan.orders.find((each) => each.id === id)!;

describe('what comes first', () => {
  // 400 and 200 + 200 cannot share a set: each order is a pattern of its own.
  const wide = (more: object) => order('wide', 400, 10, more);
  const half = (more: object) => order('half', 200, 20, more);
  const rolls = [roll('R1'), roll('R2')];
  test('the rush order, although the other is due earlier', () => {
    const plan = planned(
      plant([wide({ dueOn: '2027-03-10' }), half({ dueOn: '2027-03-20', priority: 'rush' })], rolls),
    );
    expect(plan.runs[0]!.strips[0]!.order).toBe('half');
  });
  test('among equals the one that is due earlier', () => {
    const plan = planned(plant([wide({ dueOn: '2027-03-10' }), half({ dueOn: '2027-03-20' })], rolls));
    expect(plan.runs[0]!.strips[0]!.order).toBe('wide');
  });
  test('the one that would be late otherwise, although the other is rush', () => {
    const plan = planned(
      plant([wide({ dueOn: '2027-03-01' }), half({ dueOn: '2027-03-20', priority: 'rush' })], rolls),
    );
    expect(plan.orders.map(({ lateDays }) => lateDays)).toEqual([0, 0]);
  });
});

describe('rolls that are ready later', () => {
  test('do not hold up what can be cut before', () => {
    const orders = [order('wide', 400, 10, { dueOn: '2027-03-06' }), order('half', 200, 20)];
    const plan = planned(plant(orders, [roll('late', { readyOn: '2027-03-05' }), roll('now')]));
    expect(plan.runs[0]!.startsOn).toBe('2027-03-01');
    expect(plan.orders.every((each) => each.short === 0)).toBe(true);
  });
  test('a pattern that needs both is begun on the roll at hand, and goes on without a new set-up', () => {
    const plan = planned(
      plant([order('wide', 400, 20)], [roll('late', { readyOn: '2027-03-05' }), roll('now')]),
    );
    expect(plan.runs.map(({ startsOn }) => startsOn)).toEqual(['2027-03-01', '2027-03-05']);
    expect(plan.runs[0]!.from[0]!.roll).toBe('now');
    expect(plan.cost.setups).toBeCloseTo(60);
  });
});

describe('a run that goes on past a due day', () => {
  const orders = [order('long', 400, 40, { dueOn: '2027-03-01' })];
  const rolls = [roll('R', { count: 4 })];
  test('ends there where lateness is paid for: each roll is late by its own day', () => {
    const plan = planned(plant(orders, rolls, { costs: { perLateRollDay: 1 } }));
    // Set-up an hour, then 23 sets on the first day; the other 17 are a day late.
    expect(plan.runs.map((run) => run.sets)).toEqual([23, 17]);
    expect(plan.cost.late).toBeCloseTo(17);
    expect(plan.cost.setups).toBeCloseTo(60);
  });
  test('is one run where it is not', () => {
    expect(planned(plant(orders, rolls, { costs: { perLateRollDay: 0 } })).runs).toHaveLength(1);
  });
});

describe('orders for the same strips', () => {
  test('the urgent one gets the first of them where it would be late otherwise', () => {
    const orders = [
      order('calm', 400, 30, { dueOn: '2027-03-20' }),
      order('soon', 400, 10, { dueOn: '2027-03-01' }),
    ];
    const plan = planned(plant(orders, [roll('R', { count: 4 })], { costs: { perLateRollDay: 1 } }));
    expect(outcome(plan, 'soon').lateDays).toBe(0);
    expect(plan.runs.length).toBeLessThanOrEqual(2);
  });
});

describe('use-by days', () => {
  const orders = [order('wide', 400, 20), order('half', 200, 20)];
  test('the roll that expires first is cut first', () => {
    const rolls = [roll('R1'), roll('R2'), roll('old', { useBy: '2027-03-01', costPerRoll: 99 })];
    const plan = planned(plant(orders, rolls));
    expect(plan.runs[0]!.from[0]!.roll).toBe('old');
  });
  test('a long run is ended at the end of an expiring roll', () => {
    const rolls = [roll('old', { useBy: '2027-03-01' }), roll('R', { count: 3 })];
    const plan = planned(plant([order('wide', 400, 40)], rolls));
    expect(plan.runs[0]).toMatchObject({ sets: 10, from: [{ roll: 'old', sets: 10, startM: 0 }] });
    expect(plan.runs.map((run) => run.sets)).toEqual([10, 30]);
  });
  test('a roll that cannot be cut in time is named', () => {
    const rolls = [roll('R', { count: 3 }), roll('old', { useBy: '2027-03-01' })];
    const parsed = parseProblem(plant([order('wide', 400, 40)], rolls));
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
    const run = (from: string, each: number) => ({
      slitter: 'S',
      product: 'film',
      lengthM: 100,
      sets: each,
      trimLeftMm: 0,
      trimRightMm: 0,
      strips: [{ fromMm: 0, toMm: 400, order: 'wide' }],
      from: [{ roll: from, sets: each, startM: 0 }],
    });
    const late = schedule(parsed.problem, [run('R#1', 30), run('old', 10)], () => undefined);
    expect(overdueRolls(parsed.problem, late)).toEqual([
      { roll: 'old', useBy: '2027-03-01', endsOn: '2027-03-02' },
    ]);
    const inTime = schedule(parsed.problem, [run('old', 10), run('R#1', 30)], () => undefined);
    expect(overdueRolls(parsed.problem, inTime)).toEqual([]);
  });
});

describe('knives that stand already', () => {
  test('are used as they stand: no set-up and no move', () => {
    const orders = [order('a', 150, 10), order('b', 100, 10), order('c', 90, 10)];
    const slitters = [
      {
        id: 'S',
        minutesPerSetup: 60,
        minutesPerKnifeMove: 5,
        costPerHour: 60,
        edgeTrimMinMm: { left: 5, right: 5 },
        edgeTrimMaxMm: { left: 50, right: 50 },
        knivesAtMm: [12, 102, 252, 352],
      },
    ];
    const plan = planned(plant(orders, [roll('R')], { slitters }));
    expect(plan.runs).toHaveLength(1);
    expect(plan.runs[0]).toMatchObject({ knifeMoves: 0, trimLeftMm: 12, trimRightMm: 48 });
    expect(plan.runs[0]!.strips.map((strip) => strip.order)).toEqual(['c', 'a', 'b']);
    expect(plan.cost.setups).toBe(0);
  });
  test('a pattern of the same widths on a narrower web is cut without moving a knife', () => {
    const orders = [order('a', 150, 10), order('b', 100, 10), order('c', 90, 10)];
    const slitters = [{ id: 'S', minutesPerSetup: 60, minutesPerKnifeMove: 5, costPerHour: 60 }];
    const rolls = [roll('wide', { lengthM: 500 }), roll('narrow', { lengthM: 500, widthMm: 350 })];
    const plan = planned(plant(orders, rolls, { slitters }));
    expect(plan.runs).toHaveLength(2);
    expect(plan.runs[1]!.knifeMoves).toBe(0);
    expect(plan.cost.setups).toBeCloseTo(60);
  });
});

describe('a slitter with a calendar', () => {
  const withCalendar = (calendar: object, minutesPerSet = 60) => ({
    slitters: [{ id: 'S', minutesPerSetChange: minutesPerSet, costPerHour: 60, calendar }],
    costs: { perLateRollDay: 1 },
  });
  const orders = [order('wide', 400, 20, { dueOn: '2027-03-02' })];
  const rolls = [roll('R', { count: 2 })];
  test('works so many minutes a day: what is not done goes on the next day', () => {
    const plan = planned(plant(orders, rolls, withCalendar({ minutesPerDay: 480 })));
    // 8 sets a day: 16 by the due day, 4 a day late.
    expect(plan.runs.map(({ sets, startsOn }) => [sets, startsOn])).toEqual([
      [8, '2027-03-01'],
      [8, '2027-03-02'],
      [4, '2027-03-03'],
    ]);
    expect(outcome(plan, 'wide')).toMatchObject({ readyOn: '2027-03-03', lateDays: 1 });
    expect(plan.cost.late).toBeCloseTo(4);
  });
  test('passes over closed days, which still count as days late', () => {
    const calendar = { minutesPerDay: 480, closedOn: ['2027-03-02', '2027-03-03'] };
    const plan = planned(plant(orders, rolls, withCalendar(calendar)));
    expect(plan.runs.map(({ startsOn }) => startsOn)).toEqual(['2027-03-01', '2027-03-04', '2027-03-05']);
    expect(outcome(plan, 'wide')).toMatchObject({ readyOn: '2027-03-05', lateDays: 3 });
    expect(plan.cost.late).toBeCloseTo(8 * 2 + 4 * 3);
  });
  test('a run that is said to start on a closed day is refused by the check', () => {
    const calendar = { closedOn: ['2027-03-02'] };
    const parsed = parseProblem(plant(orders, rolls, withCalendar(calendar)));
    if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
    const plan = structuredClone(planned(plant(orders, rolls, withCalendar(calendar))));
    plan.runs[0]!.startsOn = '2027-03-02';
    expect(checkPlan(parsed.problem, plan).map((fault) => fault.rule)).toContain('slitter-open');
  });
  test.each([
    [{ minutesPerDay: 0 }, 'slitters[0].calendar.minutesPerDay'],
    [{ minutesPerDay: 1441 }, 'slitters[0].calendar.minutesPerDay'],
    [{ closedOn: ['2027-02-30'] }, 'slitters[0].calendar.closedOn[0]'],
    [{ shifts: 2 }, 'slitters[0].calendar.shifts'],
  ])('%j is a fault of the problem', (calendar, where) => {
    const parsed = parseProblem(plant(orders, rolls, withCalendar(calendar)));
    expect(!parsed.ok && parsed.faults.map((fault) => fault.path)).toEqual([where]);
  });
});
