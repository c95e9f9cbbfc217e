// Hours taken by other work, and calendars with shorter days: against counting minute by minute, and that what is due is
// done by its day wherever that is possible at all.
import { describe, expect, it } from 'vitest';
import { minutesUntil, takenDays, type Work } from '../../src/domain/hoursTaken.ts';
import { addDays, daysBetween, type IsoDate } from '../../src/domain/units.ts';
import { type WorkCalendar, workDays } from '../../src/domain/workCalendar.ts';
import { seeded } from '../planner/reference/randomProblem.ts';

const TODAY = '2027-03-01' as IsoDate;
const on = (day: number) => addDays(TODAY, day);
const calendar = (change: Partial<WorkCalendar> = {}): WorkCalendar => ({
  minutesPerDay: 480,
  closedOn: [],
  ...change,
});

describe('hours that other work takes', () => {
  it('lie as late as each day allows, so that what is free is free early', () => {
    const work: Work[] = [
      { minutes: 600, by: on(3) },
      { minutes: 100, by: on(1) },
    ];
    expect(takenDays(calendar(), TODAY, work)).toEqual([
      { on: on(1), minutes: 100 },
      { on: on(2), minutes: 120 },
      { on: on(3), minutes: 480 },
    ]);
  });

  it('leave closed days out, and what is at the machine comes first', () => {
    const work: Work[] = [
      { minutes: 500, by: on(2) },
      { minutes: 60, by: 'now' },
    ];
    expect(takenDays(calendar({ closedOn: [on(1)] }), TODAY, work)).toEqual([
      { on: on(0), minutes: 80 },
      { on: on(2), minutes: 480 },
    ]);
  });

  it('go on after the day where it has too few of them', () => {
    expect(takenDays(calendar(), TODAY, [{ minutes: 1000, by: on(0) }])).toEqual([
      { on: on(0), minutes: 480 },
      { on: on(1), minutes: 480 },
      { on: on(2), minutes: 40 },
    ]);
  });

  it('are done by their days wherever that is possible, on random work', () => {
    const random = seeded(5);
    let possible = 0;
    for (let k = 0; k < 200; k++) {
      const work = Array.from({ length: 1 + Math.floor(6 * random()) }, () => ({
        minutes: Math.ceil(700 * random()),
        by: on(Math.floor(6 * random())),
      }));
      const upTo = (day: IsoDate) =>
        work.filter(({ by }) => by <= day).reduce((sum, one) => sum + one.minutes, 0);
      const room = (day: IsoDate) => 480 * (daysBetween(TODAY, day) + 1);
      // All work that is due by a day fits before its end: the oldest rule of due dates.
      if (!work.every(({ by }) => upTo(by) <= room(by))) continue;
      possible += 1;
      const last = work
        .map(({ by }) => by)
        .sort()
        .at(-1) as IsoDate;
      const taken = takenDays(calendar(), TODAY, work);
      expect(taken.every((one) => one.on <= last && one.minutes <= 480)).toBe(true);
      for (const { by } of work) {
        const done = taken.filter((one) => one.on <= by).reduce((sum, one) => sum + one.minutes, 0);
        expect(done).toBeGreaterThanOrEqual(upTo(by));
      }
    }
    expect(possible).toBeGreaterThan(40);
  });
});

describe('a calendar with shorter days', () => {
  it('counts like the days one by one', () => {
    const random = seeded(9);
    for (let k = 0; k < 50; k++) {
      const taken = Array.from({ length: 4 }, () => ({
        on: on(Math.floor(12 * random()) - 2),
        minutes: Math.floor(600 * random()),
      }));
      const closedOn = [on(Math.floor(10 * random()))];
      const days = workDays({ minutesPerDay: 480, closedOn, taken }, TODAY);
      const minutesOf = (day: number) => {
        if (closedOn.includes(on(day))) return 0;
        const less = taken.filter((one) => one.on === on(day)).reduce((sum, one) => sum + one.minutes, 0);
        return Math.max(0, 480 - less);
      };
      let before = 0;
      for (let day = 0; day < 15; day++) {
        expect(days.minutesBefore(day)).toBe(before);
        const here = minutesOf(day);
        if (here > 0) expect([days.dayOf(before), days.dayOf(before + here - 1)]).toEqual([day, day]);
        before += here;
      }
    }
  });

  it('says how many minutes there are up to a day, and how many of them are taken', () => {
    const taken = [
      { on: on(1), minutes: 100 },
      { on: on(9), minutes: 50 },
    ];
    const all = calendar({ closedOn: [on(2)], taken });
    expect(minutesUntil(all, TODAY, on(3))).toEqual({ all: 3 * 480, taken: 100 });
  });
});
