// Worked numbers computed from the formulae: 660 mm x 20,000 m x 12 um x 1.395 g/cm3 is 220.968 kg; a roll of 400 mm on
// a core of 92 mm holds 9,918.0 m of 12 um (9,723.5 m with 2 % of air).
import { describe, expect, test } from 'vitest';
import { disagreementWords, type RollMeasured, reconcile } from '../../src/domain/reconcile.ts';

const roll: RollMeasured = {
  lengthMm: 20_000_000,
  widthUm: 660_000,
  massKg: 220.968,
  diameterUm: null,
  coreOutsideUm: null,
  thicknessUm: 12,
  densityGPerCm3: 1.395,
  airPct: 0,
};

describe('reconciling a roll', () => {
  test('is content when mass and label agree', () => {
    expect(reconcile(roll, 0.01)).toEqual([]);
  });

  test('says by how much the mass disagrees, in words', () => {
    const [off] = reconcile({ ...roll, massKg: 210 }, 2);
    expect(off).toMatchObject({ by: 'mass' });
    expect(off?.saysM).toBeCloseTo((210 / 220.968) * 20_000, 3);
    expect(disagreementWords(off!, roll.lengthMm)).toBe(
      'its mass stands for 19,007 m, 5.0 % less than the 20,000 m on its label',
    );
  });

  test('warns beyond the tolerance and not at it', () => {
    const off = { ...roll, massKg: 220.968 * 1.03 };
    expect(reconcile(off, 3.001)).toEqual([]);
    expect(reconcile(off, 2.999)).toHaveLength(1);
  });

  test('reckons the length from the diameter, air between the layers included', () => {
    const wound = { ...roll, massKg: null, diameterUm: 400_000, coreOutsideUm: 92_000 };
    expect(reconcile({ ...wound, lengthMm: 9_918_000 }, 0.05)).toEqual([]);
    expect(reconcile({ ...wound, lengthMm: 9_723_500, airPct: 2 }, 0.05)).toEqual([]);
    const [off] = reconcile({ ...wound, lengthMm: 9_000_000 }, 2);
    expect(off).toMatchObject({ by: 'diameter' });
    expect(off?.offPct).toBeCloseTo(10.2, 1);
  });

  test('says nothing of a measure that was not taken', () => {
    expect(reconcile({ ...roll, massKg: null, diameterUm: 400_000 }, 2)).toEqual([]);
  });
});
