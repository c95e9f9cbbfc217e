// Net requirement of film: days decide when film runs short, weeks add up what has to be bought.
import { describe, expect, it } from 'vitest';
import { type FilmEvent, netRequirement } from '../../src/domain/netRequirement.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import { mondayOf, weeksFrom } from '../../src/domain/weeks.ts';

// 2027-03-01 is a Monday
const TODAY = '2027-03-03' as IsoDate;
const event = (day: string, areaM2: number, what: FilmEvent['what'] = 'order'): FilmEvent => ({
  day: day as IsoDate,
  areaM2,
  what,
  code: 'X',
});
const need = (stockM2: number, safetyM2: number, ...events: FilmEvent[]) =>
  netRequirement({ today: TODAY, weeks: 4, stockM2, safetyM2, events });

describe('weeks', () => {
  it('begin on Monday, also across the end of a year', () => {
    expect(mondayOf('2027-03-07' as IsoDate)).toBe('2027-03-01');
    expect(mondayOf('2027-03-08' as IsoDate)).toBe('2027-03-08');
    expect(mondayOf('2027-01-02' as IsoDate)).toBe('2026-12-28');
    expect(weeksFrom(TODAY, 2)).toEqual(['2027-03-01', '2027-03-08']);
  });
});

describe('the net requirement', () => {
  it('asks for nothing while stock lasts', () => {
    const { weeks, shortOn } = need(100, 0, event('2027-03-10', 100));
    expect(weeks.map((week) => week.netM2)).toEqual([0, 0, 0, 0]);
    expect(weeks.map((week) => week.endM2)).toEqual([100, 0, 0, 0]);
    expect(shortOn).toBeUndefined();
  });
  it('names the day on which stock runs out, and asks for each week only what is new', () => {
    const { weeks, shortOn } = need(
      100,
      0,
      event('2027-03-09', 80),
      event('2027-03-11', 50),
      event('2027-03-17', 20),
    );
    expect(shortOn).toBe('2027-03-11');
    expect(weeks.map((week) => week.netM2)).toEqual([0, 30, 20, 0]);
  });
  it('counts what is overdue for today', () => {
    expect(need(0, 0, event('2027-02-01', 10)).shortOn).toBe(TODAY);
  });
  it('keeps the safety stock, and tells falling below it from running out', () => {
    const found = need(100, 40, event('2027-03-10', 70), event('2027-03-18', 50));
    expect(found.belowSafetyOn).toBe('2027-03-10');
    expect(found.shortOn).toBe('2027-03-18');
    expect(found.weeks.map((week) => week.netM2)).toEqual([0, 10, 50, 0]);
  });
  it('asks again for film that comes too late, but not for film that comes in time', () => {
    const late = need(0, 0, event('2027-03-09', 30), event('2027-03-15', 30, 'delivery'));
    expect(late.weeks.map((week) => week.netM2)).toEqual([0, 30, 0, 0]);
    const inTime = need(0, 0, event('2027-03-15', 30), event('2027-03-15', 30, 'delivery'));
    expect(inTime.shortOn).toBeUndefined();
  });
  it('says for each week the most that is missing in it, also once late film has come', () => {
    const late = need(0, 10, event('2027-03-09', 30), event('2027-03-15', 60, 'delivery'));
    expect(late.weeks.map((week) => week.lackM2)).toEqual([10, 40, 0, 0]);
  });
  it('is what brings the lowest stock up to the safety stock', () => {
    let seed = 7;
    const random = (most: number): number => {
      seed = (seed * 48271) % 2147483647;
      return seed % most;
    };
    for (let trial = 0; trial < 200; trial += 1) {
      const stock = random(200);
      const safety = random(60);
      const events = Array.from({ length: 12 }, () =>
        event(
          `2027-03-${String(3 + random(24)).padStart(2, '0')}`,
          random(90),
          random(4) ? 'order' : 'delivery',
        ),
      );
      const { weeks } = need(stock, safety, ...events);
      const bought = weeks.reduce((sum, week) => sum + week.netM2, 0);
      // day by day, written anew
      let left = stock;
      let lowest = Number.POSITIVE_INFINITY;
      for (let day = 3; day < 29; day += 1) {
        for (const one of events.filter(({ day: on }) => Number(on.slice(8)) === day))
          left += one.what === 'delivery' ? one.areaM2 : -one.areaM2;
        lowest = Math.min(lowest, left);
      }
      expect(bought).toBeCloseTo(Math.max(0, safety - lowest), 9);
    }
  });
});
