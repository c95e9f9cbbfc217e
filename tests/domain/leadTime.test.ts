// Lead times: the offer's until the record of the supplier says better.
import { describe, expect, it } from 'vitest';
import { buyingFigures } from '../../src/domain/buyingFigures.ts';
import { countedOnAfter, DELIVERIES_FOR_RECORD, delayOf, leadTimeOf } from '../../src/domain/leadTime.ts';
import type { IsoDate } from '../../src/domain/units.ts';

const day = (text: string): IsoDate => `2027-${text}` as IsoDate;
const delivery = (
  received: string,
  wanted: string,
  ordered: string | null = null,
  leadTimeDays: number | null = null,
) =>
  delayOf({
    receivedOn: day(received),
    wantedOn: day(wanted),
    orderedOn: ordered === null ? null : day(ordered),
    leadTimeDays,
  });

describe('the delay of a delivery', () => {
  it('counts from the day wanted; early is in time', () => {
    expect(delivery('03-10', '03-05')).toBe(5);
    expect(delivery('03-01', '03-05')).toBe(0);
  });
  it('counts from the day on which it could have come where it was ordered too late', () => {
    expect(delivery('03-20', '03-05', '02-20', 21)).toBe(7);
    expect(delivery('03-20', '03-05', '01-02', 21)).toBe(15);
  });
});

describe('the lead time that is counted on', () => {
  const offer = { leadTimeDays: 60, leadSpreadDays: 7 };
  it('is the offer with its spread while few deliveries came', () => {
    const few = leadTimeOf(offer, [10, 20]);
    expect(few).toEqual({ days: 60, spreadDays: 7, from: 'offer', deliveries: 2, meanDelayDays: 15 });
    expect(countedOnAfter(few)).toBe(67);
    expect(countedOnAfter(leadTimeOf({ leadTimeDays: 60, leadSpreadDays: null }, []))).toBe(60);
  });
  it('is the offer, the mean delay and its deviation once enough came', () => {
    const delays = [0, 2, 4, 6, 8];
    expect(delays).toHaveLength(DELIVERIES_FOR_RECORD);
    const found = leadTimeOf(offer, delays);
    expect(found).toMatchObject({ days: 64, from: 'record', deliveries: 5, meanDelayDays: 4 });
    expect(found.spreadDays).toBeCloseTo(Math.sqrt(10), 9);
    expect(countedOnAfter(found)).toBe(68);
  });
});

describe('the figures of a grade', () => {
  // Formulae and numbers: Wikipedia "Economic order quantity" and "Safety stock", computed independently (see filmMath.test.ts)
  it('are those of the formulae: weekly use 460 kg with deviation 120, 10 weeks with deviation 1.5', () => {
    const figures = buyingFigures({
      weeklyKg: [460 - 120, 460, 460 + 120],
      costPerOrder: 180,
      holdingShare: 0.25,
      pricePerKg: 3.6,
      leadDays: 70,
      leadSpreadDays: 10.5,
      serviceFactor: 1.645,
    });
    expect(figures?.safetyKg).toBeCloseTo(1295.38, 2);
    expect(figures?.reorderKg).toBeCloseTo(5895.38, 2);
    // sqrt(2 x 460 x 52 x 180 / 0.90)
    expect(figures?.economicKg).toBeCloseTo(3093.22, 2);
  });
  it('are none where nothing is used', () => {
    const none = {
      costPerOrder: 180,
      holdingShare: 0.25,
      pricePerKg: 3,
      leadDays: 70,
      leadSpreadDays: 7,
      serviceFactor: 1.645,
    };
    expect(buyingFigures({ ...none, weeklyKg: [0, 0] })).toBeUndefined();
  });
});
