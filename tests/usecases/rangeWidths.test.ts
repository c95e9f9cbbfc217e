// Which widths of a range are worth a column in the purchase.
import { describe, expect, it } from 'vitest';
import { widthsOfRange } from '../../src/usecases/buying/rangeWidths.ts';
import { cuttingFor } from '../planner/reference/cutBuyingModel.ts';

const PLANT = {
  ...{ edgeMm: 0, maxStrips: 100, maxWidths: 100, tailM: 0, leadInM: 0, lossM: 0 },
  ...{ coatingPerM2: 0, rollM: 1000 },
};
const strip = (mm: number) => ({ product: 'P', widthUm: mm * 1000, lengthMm: 100_000 });
const range = { minUm: 600_000, maxUm: 1_000_000, stepUm: 50_000 };

describe('the widths of a range', () => {
  it('are that which the strips fill, and no other beside it', () => {
    const cutting = cuttingFor(PLANT, [strip(425)]);
    expect(widthsOfRange(range, cutting, new Map([[0, 100]]))).toEqual([850_000]);
  });
  it('are several where each saves film beside the others', () => {
    // 700 mm fills one of them, 950 mm the other; together they waste nothing
    const cutting = cuttingFor({ ...PLANT, maxWidths: 1 }, [strip(350), strip(475)]);
    const wanted = new Map([
      [0, 700],
      [1, 950],
    ]);
    expect([...widthsOfRange(range, cutting, wanted)].sort()).toEqual([700_000, 950_000]);
  });
  it('are the widest where nothing is known, or none makes all of the strips', () => {
    expect(widthsOfRange(range, undefined, new Map())).toEqual([1_000_000]);
    const cutting = cuttingFor(PLANT, [strip(1200)]);
    expect(widthsOfRange(range, cutting, new Map([[0, 1]]))).toEqual([1_000_000]);
    expect(widthsOfRange({ ...range, stepUm: 30_000 }, undefined, new Map())).toEqual([990_000]);
  });
});
