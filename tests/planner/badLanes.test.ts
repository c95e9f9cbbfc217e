// The constructed case lane-defect-660: a bad lane through the whole roll is slit out as waste, strips lie in the good
// lanes on either side of it.
import { describe, expect, test } from 'vitest';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { readCase } from '../readCases.ts';
import { planned } from './planned.ts';

const { stock_widths, verified_answer } = readCase('constructed/lane-defect-660');
const [stock] = stock_widths as unknown as [{ width: number; bad_lane_mm: [number, number] }];

function rollWithBadLane(orderWidth: number, rolls: number, withLane = true): ProblemDocument {
  const [fromMm, toMm] = stock.bad_lane_mm;
  return {
    format: 'lanewright-problem/1',
    slitters: [{ id: 'S', edgeTrimMinMm: { left: 8, right: 8 } }],
    products: [{ id: 'P' }],
    rolls: [
      {
        id: 'R',
        widthMm: stock.width,
        lengthM: 1,
        costPerRoll: 1,
        defects: withLane ? [{ fromMm, toMm }] : [],
      },
    ],
    orders: [{ id: 'A', product: 'P', widthMm: orderWidth, lengthM: 1, rolls }],
  };
}

describe('a bad lane from 208 to 222 mm of 660', () => {
  test.each([
    [100, verified_answer.strips_100_relief_strip, true],
    [110, verified_answer.strips_110_relief_strip, true],
    [110, verified_answer.strips_110_ignoring_defect, false],
  ])('gives of %d mm just %d strips (bad lane: %s)', (width, strips, withLane) => {
    const enough = planned(rollWithBadLane(width, strips, withLane));
    expect(enough.orders[0]).toMatchObject({ planned: strips, short: 0 });
    const tooMany = planned(rollWithBadLane(width, strips + 1, withLane));
    expect(tooMany.status).toBe('short');
    expect(tooMany.orders[0]).toMatchObject({ planned: strips, short: 1 });
  });

  test('is filled on both sides by the best mix of widths: 199 and 430 mm', () => {
    const document = rollWithBadLane(110, 1);
    document.fillers = verified_answer.mix_widths.map((widthMm: number) => ({
      product: 'P',
      widthMm,
      lengthM: 1,
      valuePerRoll: widthMm / 1000,
      maxRolls: 9,
    }));
    const [run] = planned(document).runs;
    const good = run!.strips.filter((strip) => !strip.waste);
    const [laneFrom] = stock.bad_lane_mm;
    const used = (strips: typeof good) => strips.reduce((sum, { fromMm, toMm }) => sum + toMm - fromMm, 0);
    expect(used(good.filter(({ toMm }) => toMm <= laneFrom))).toBeCloseTo(
      verified_answer.best_used_width_mix.lane_200,
      6,
    );
    expect(used(good.filter(({ toMm }) => toMm > laneFrom))).toBeCloseTo(
      verified_answer.best_used_width_mix.lane_430,
      6,
    );
  });
});
