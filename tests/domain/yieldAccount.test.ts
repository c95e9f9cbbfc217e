// The yield account: sums, shares and the order of losses.
import { describe, expect, it } from 'vitest';
import { byCause, type Fact, pareto, yieldBy, yieldOf } from '../../src/domain/yieldAccount.ts';

const fact = (cause: string, actualM2: number, more: Partial<Fact> = {}): Fact => ({
  cause,
  machine: 'SL-1',
  product: 'CP-10',
  lot: 'L-1',
  week: '2027-03-01',
  plannedM2: actualM2,
  actualM2,
  actualKg: actualM2 / 50,
  cost: actualM2 / 10,
  ...more,
});
const facts = [
  fact('good rolls', 900),
  fact('edge trim', 60, { plannedM2: 50 }),
  fact('tail', 10, { cost: null, machine: 'SL-2' }),
  fact('scrap: dirt', 30, { plannedM2: 0, week: '2027-03-08' }),
  fact('waste strip', 0, { plannedM2: 40 }),
];

describe('the yield account', () => {
  it('yield is good over all used, planned over all planned', () => {
    const all = yieldOf('all', facts);
    expect(all).toMatchObject({ usedM2: 1000, goodM2: 900, lossM2: 100, actual: 0.9 });
    expect(all.planned).toBeCloseTo(900 / 1000, 12);
  });

  it('losses come largest first, with their share and what they add up to; what was only planned is no loss', () => {
    const found = pareto(facts);
    expect(found.map(({ cause }) => cause)).toEqual(['edge trim', 'scrap: dirt', 'tail']);
    const rounded = (values: number[]) => values.map((value) => Math.round(value * 1e9) / 1e9);
    expect(rounded(found.map(({ share }) => share))).toEqual([0.6, 0.3, 0.1]);
    expect(rounded(found.map(({ upTo }) => upTo))).toEqual([0.6, 0.9, 1]);
  });

  it('coated film is good at the coater alone; with slitting beside it, only its losses count', () => {
    const coater = [
      fact('coated film', 950, { machine: 'coater' }),
      fact('coating start-up', 50, { machine: 'coater' }),
    ];
    expect(yieldOf('coater', coater)).toMatchObject({ usedM2: 1000, actual: 0.95 });
    expect(yieldOf('all', [...facts, ...coater])).toMatchObject({ usedM2: 1050, goodM2: 900, lossM2: 150 });
    expect(pareto(coater).map(({ cause }) => cause)).toEqual(['coating start-up']);
  });

  it('a cost is not given where the worth of a part is not known', () => {
    const cost = new Map(byCause([...facts, fact('tail', 5)]).map((one) => [one.cause, one.cost]));
    expect(cost.get('tail')).toBeNull();
    expect(cost.get('edge trim')).toBe(6);
    expect(yieldOf('all', facts).lossCost).toBeNull();
  });

  it('goes by machine or week, in order; nothing used has no yield', () => {
    expect(yieldBy(facts, 'machine').map(({ key, usedM2 }) => [key, usedM2])).toEqual([
      ['SL-1', 990],
      ['SL-2', 10],
    ]);
    expect(yieldBy(facts, 'week').map(({ key, actual }) => [key, actual?.toFixed(3)])).toEqual([
      ['2027-03-01', (900 / 970).toFixed(3)],
      ['2027-03-08', '0.000'],
    ]);
    expect(yieldOf('none', []).actual).toBeUndefined();
    expect(pareto([])).toEqual([]);
  });
});
