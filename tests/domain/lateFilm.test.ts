// Which needs a late delivery leaves open: only those that stock and other deliveries do not cover while it is awaited.
import { describe, expect, it } from 'vitest';
import { leftOpen } from '../../src/domain/lateFilm.ts';
import type { IsoDate } from '../../src/domain/units.ts';

const day = (text: string): IsoDate => `2027-03-${text}` as IsoDate;
const need = (on: string, areaM2: number) => ({ needOn: day(on), areaM2 });
const late = { expectedOn: day('20'), areaM2: 100 };

describe('a late delivery', () => {
  it('hits what is needed before the day expected and not in stock', () => {
    const needs = [need('09', 10), need('12', 10), need('20', 10)];
    expect(leftOpen({ needs, stockM2: 10, others: [], late })).toEqual([needs[1]]);
  });
  it('hits nobody while stock and other deliveries last', () => {
    const needs = [need('12', 40), need('15', 40)];
    expect(leftOpen({ needs, stockM2: 40, others: [{ day: day('15'), areaM2: 40 }], late })).toEqual([]);
    expect(leftOpen({ needs, stockM2: 40, others: [{ day: day('16'), areaM2: 40 }], late })).toEqual([
      needs[1],
    ]);
  });
  it('does not answer for more than it would have brought', () => {
    const needs = [need('12', 100), need('13', 50)];
    expect(leftOpen({ needs, stockM2: 0, others: [], late })).toEqual([needs[0]]);
  });
  it('hits all that is needed later when nobody knows when it comes', () => {
    const needs = [need('12', 40), need('28', 40)];
    expect(leftOpen({ needs, stockM2: 0, others: [], late: { ...late, expectedOn: undefined } })).toEqual(
      needs,
    );
  });
});
