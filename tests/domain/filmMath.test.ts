// The trade's worked numbers, each computed independently beforehand; tolerance 0.05 % unless exact. Sources stand beside them.
import { describe, expect, test } from 'vitest';
import {
  economicOrderKg,
  pricePerArea,
  reorderPoint,
  yearlyOrderingCost,
} from '../../src/domain/buyingMath.ts';
import {
  acceptedRolls,
  coatingNeed,
  dryCoatGPerM2,
  filmMassKg,
  filmYieldIn2PerLb,
  filmYieldM2PerKg,
  grammage,
  lbPerReam,
  M2_PER_MSI,
  patternEfficiencyPct,
  setMinutes,
  setsPerRoll,
  UM_PER_GAUGE,
  USUAL_DENSITY_G_PER_CM3,
  woundDiameterMm,
  woundLengthM,
  woundTurns,
} from '../../src/domain/filmMath.ts';
import { gs1CheckDigit, gs1RollProduct } from '../../src/domain/gs1.ts';

const close = (found: number, published: number) =>
  expect(Math.abs(found / published - 1), `${found} against ${published}`).toBeLessThan(5e-4);

describe('C1 and C2: wound length and diameter (derivation: layers times mean circumference)', () => {
  test.each([
    [400, 92, 12, 9918.0],
    [400, 92, 12 * 1.02, 9723.5],
    [600, 168, 4.5, 57905.8],
    [120, 32.5, 7.5, 1397.4],
  ])('a roll of %d mm on a core of %d mm with layers of %d um holds %d m', (D, d, t, lengthM) => {
    const roll = { outsideDiameterMm: D, coreOutsideDiameterMm: d, layerThicknessUm: t };
    close(woundLengthM(roll), lengthM);
    close(woundDiameterMm({ ...roll, lengthM }), D);
  });
  test.each([
    [3000, 12, 92, 233.02],
    [300, 7.5, 32.5, 62.618],
    [450, 7.5, 32.5, 73.167],
    [2000, 16, 92, 221.83],
  ])('%d m of %d um on a core of %d mm make a roll of %d mm', (lengthM, t, d, D) => {
    close(woundDiameterMm({ lengthM, layerThicknessUm: t, coreOutsideDiameterMm: d }), D);
  });
  test('a roll of 400 mm on 92 mm has 12 833.3 turns of 12 um', () => {
    close(woundTurns({ outsideDiameterMm: 400, coreOutsideDiameterMm: 92, layerThicknessUm: 12 }), 12833.3);
  });
});

describe('C3 to C6: mass, yield and units (exact factors: NIST SP 811 appendix B)', () => {
  test.each([
    [{ widthMm: 660, lengthM: 20000, thicknessUm: 12, densityGPerCm3: 1.395 }, 220.968],
    [{ widthMm: 660, lengthM: 20000, thicknessUm: 4.5, densityGPerCm3: 1.395 }, 82.863],
    [{ widthMm: 145, lengthM: 2000, thicknessUm: 12, densityGPerCm3: 1.395, coatingGPerM2: 4.5 }, 6.1596],
  ])('a web %o weighs %d kg', (web, kg) => close(filmMassKg(web), kg));
  test('12 um PET with 4.5 g/m2 of coating has 21.24 g/m2', () => close(grammage(12, 1.395, 4.5), 21.24));
  test.each([
    [12, 1.395, 59.737],
    [4.5, 1.395, 159.299],
    [20, 0.905, 55.249],
  ])('%d um of density %d yields %d m2/kg', (t, rho, m2) => close(filmYieldM2PerKg(t, rho), m2));
  test('one mil of BOPP 0.906 yields 30 552 in2/lb, 48 gauge PET 41 338', () => {
    close(filmYieldIn2PerLb(25.4, 0.906), 30552);
    close(filmYieldIn2PerLb(48 * UM_PER_GAUGE, USUAL_DENSITY_G_PER_CM3.BOPET), 41338);
  });
  test('18, 48 and 92 gauge are 4.572, 12.192 and 23.368 um', () => {
    expect([18, 48, 92].map((gauge) => Number((gauge * UM_PER_GAUGE).toFixed(9)))).toEqual([
      4.572, 12.192, 23.368,
    ]);
  });
  test('110 mm x 300 m is 33 m2, 51.150 MSI', () => close((0.11 * 300) / M2_PER_MSI, 51.15));
  test('6.3 g/m2 is 3.8710 lb per ream of 3000 ft2, and 1 lb per ream is 1.627476 g/m2', () => {
    close(lbPerReam(6.3), 3.871);
    close(lbPerReam(1.627476), 1);
  });
});

describe('C7: coating', () => {
  test('20 um wet at 1.05 g/cm3 with 30 % solids dries to 6.30 g/m2, 5.25 um at 1.2 g/cm3', () => {
    close(dryCoatGPerM2(20, 1.05, 0.3), 6.3);
    close(dryCoatGPerM2(20, 1.05, 0.3) / 1.2, 5.25);
  });
  test('0.644 m x 18 000 m takes 73.03 kg dry, 243.43 wet, 258.97 with 6 % loss; 170.4 kg evaporate', () => {
    const need = coatingNeed({ areaM2: 0.644 * 18000, dryGPerM2: 6.3, solids: 0.3, loss: 0.06 });
    close(need.dryKg, 73.03);
    close(need.wetKg, 243.43);
    close(need.wetWithLossKg, 258.97);
    close(need.solventKg, 170.4);
  });
});

describe('C8: slitter time', () => {
  const machine = { metresPerMinute: 150, rampUpSeconds: 30, rampDownSeconds: 20 };
  test('300 m at 150 m/min with ramps of 30 and 20 s take 2.4167 min; 60 sets and set-up 330.0 min', () => {
    const run = setMinutes({ lengthM: 300, ...machine });
    close(run, 2.4167);
    close(60 * (run + 2.5) + 35, 330.0);
  });
  test('a set too short to reach full speed follows the triangle, and both formulae meet where speed is just reached', () => {
    const meeting = (150 * (50 / 60)) / 2;
    const just = setMinutes({ lengthM: meeting, ...machine });
    expect(setMinutes({ lengthM: meeting - 1e-9, ...machine })).toBeCloseTo(just, 9);
    // A quarter of the length takes half the time on the triangle.
    expect(setMinutes({ lengthM: meeting / 4, ...machine })).toBeCloseTo(just / 2, 9);
  });
  test('a roll of 18 000 m gives 59 sets of 300 m with 1.5 m tails after 100 m lost, 111.5 m remain', () => {
    const sets = setsPerRoll({ lengthMm: 18e6, lostMm: 100e3, finishedMm: 300e3, tailMm: 1500 });
    expect(sets).toBe(59);
    expect(17900 - sets * 301.5).toBe(111.5);
  });
});

describe('C9 to C11: yield, buying, quantity tolerance', () => {
  test('5 x 110 + 83 on 660 is 95.909 % efficient, and the job yields 94.311 % of its area', () => {
    const pattern = patternEfficiencyPct([110, 110, 110, 110, 110, 83], 660);
    close(pattern, 95.909);
    close(((59 * 300) / 18000) * pattern, 94.311);
  });
  test('24 000 kg a year at 180 an order and 0.90 holding: EOQ 3098.39 kg, 2788.55 a year, 3114.00 at 5000 kg', () => {
    const buying = { yearlyKg: 24000, costPerOrder: 180, holdingPerKgYear: 0.9 };
    const best = economicOrderKg(buying);
    close(best, 3098.39);
    close(yearlyOrderingCost(buying, best), 2788.55);
    close(yearlyOrderingCost(buying, 5000), 3114);
  });
  test('460 kg a week (120), lead 10 weeks (1.5), z 1.645: safety stock 1295.38, reorder at 5895.38 kg', () => {
    const use = {
      perWeekKg: 460,
      perWeekDeviationKg: 120,
      leadWeeks: 10,
      leadDeviationWeeks: 1.5,
      serviceFactor: 1.645,
    };
    close(reorderPoint(use).safetyKg, 1295.38);
    close(reorderPoint(use).reorderKg, 5895.38);
  });
  test('12 um PET at 3.10 per kg costs 0.051894 per m2, 0.033480 per MSI', () => {
    close(pricePerArea(3.1, 12, 1.395).perM2, 0.051894);
    close(pricePerArea(3.1, 12, 1.395).perMsi, 0.03348);
  });
  test.each([
    [40, 10, 10, 36, 44],
    [5, 10, 10, 5, 5],
    [45, 5, 5, 43, 47],
    [100, 7, 7, 93, 107],
    [10, 0, 100, 0, 10],
  ])('%d rolls +%d/-%d percent are %d to %d', (rolls, over, under, minRolls, maxRolls) => {
    expect(acceptedRolls(rolls, over, under)).toEqual({ minRolls, maxRolls });
  });
});

describe('C12: label content (GS1 General Specifications; example digits from memory)', () => {
  test('SSCC 37610425002123456 ends with 9', () => expect(gs1CheckDigit('37610425002123456')).toBe(9));
  test('110 mm x 300 m, core 25.4, face out, no splice reads 01100030002500', () => {
    const roll = {
      widthMm: 110,
      lengthM: 300,
      coreInsideDiameterMm: 25.4,
      winding: 'face-out',
      splices: 0,
    } as const;
    expect(gs1RollProduct(roll)).toBe('01100030002500');
  });
  test('refuses what does not fit the digits', () => {
    const roll = {
      widthMm: 12000,
      lengthM: 300,
      coreInsideDiameterMm: 25.4,
      winding: 'face-in',
      splices: 9,
    } as const;
    expect(() => gs1RollProduct(roll)).toThrow('12000 does not fit 4 digits');
    expect(() => gs1CheckDigit('12a')).toThrow('digits only');
  });
});
