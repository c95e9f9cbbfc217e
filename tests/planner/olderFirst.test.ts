// Which of several rolls that would do is used: the first to expire, then old stubs; and that this never costs anything.
import { describe, expect, test } from 'vitest';
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from './planned.ts';

type Roll = NonNullable<ProblemDocument['rolls']>[number];

function withRolls(rolls: Roll[], rollsWanted = 10): ProblemDocument {
  return {
    format: 'lanewright-problem/1',
    planOn: '2027-03-01',
    slitters: [{ id: 'S', leadInM: 10 }],
    products: [{ id: 'P' }],
    rolls,
    orders: [{ id: 'A', product: 'P', widthMm: 100, lengthM: 200, rolls: rollsWanted }],
  };
}
const roll = (id: string, more: Partial<Roll> = {}): Roll => ({
  id,
  widthMm: 500,
  lengthM: 2000,
  costPerRoll: 200,
  ...more,
});
const used = (document: ProblemDocument) =>
  planned(document).runs.flatMap(({ from }) => from.map((part) => part.roll));

describe('of rolls that do equally well', () => {
  test('the first to expire is used', () => {
    const rolls = [roll('A', { useBy: '2027-09-01' }), roll('B'), roll('C', { useBy: '2027-06-01' })];
    expect(used(withRolls(rolls))).toEqual(['C']);
  });

  test('an old stub goes before a fresh roll', () => {
    expect(used(withRolls([roll('A'), roll('Z', { kind: 'stub' })]))).toEqual(['Z']);
  });

  test('the day of expiry goes before the stub', () => {
    const rolls = [roll('Z', { kind: 'stub' }), roll('A', { useBy: '2027-06-01' })];
    expect(used(withRolls(rolls))).toEqual(['A']);
  });

  test('the first to expire is used though another is longer, when a metre costs the same', () => {
    const fresh = roll('A', { lengthM: 4000, costPerRoll: 400 });
    const plan = planned(withRolls([fresh, roll('Z', { useBy: '2027-06-01' })]));
    expect(plan.runs[0]!.from[0]!.roll).toBe('Z');
    expect(plan.cost.total).toBeCloseTo(41, 6);
  });

  test('but a dearer roll is left alone, however old it is', () => {
    const rolls = [roll('A'), roll('Z', { kind: 'stub', useBy: '2027-03-20', costPerRoll: 220 })];
    expect(used(withRolls(rolls))).toEqual(['A']);
  });
});

describe('what is left of a roll', () => {
  const stub = (lengthM: number, costs: ProblemDocument['costs']) =>
    planned({ ...withRolls([roll('R', { lengthM })], 5), costs }).stubs[0]!;

  test('is kept when it is one finished length and the lead-in long, and lost when a millimetre is missing', () => {
    expect(stub(420, {})).toEqual({ roll: 'R', widthMm: 500, lengthM: 210, keep: true });
    expect(stub(419.999, {}).keep).toBe(false);
  });

  test('is kept from the length on that the problem says', () => {
    expect(stub(420, { stubKeepMinM: 210 }).keep).toBe(true);
    expect(stub(420, { stubKeepMinM: 210.001 }).keep).toBe(false);
  });

  test('is charged in full when it is lost, and at its holding cost when it is kept', () => {
    const cost = (lengthM: number, costs: ProblemDocument['costs']) =>
      planned({ ...withRolls([roll('R', { lengthM })], 5), costs }).cost.material;
    expect(cost(400, {})).toBeCloseTo(200, 6);
    expect(cost(420, { holdingPerM2: 0.1 })).toBeCloseTo(100 + 0.1 * 0.5 * 210, 6);
  });
});
