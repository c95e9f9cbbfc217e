// What is left to plan of an order that is partly made: the tolerance of the whole, within what a problem may name.
import { describe, expect, it } from 'vitest';
import { leftToPlan } from '../../src/domain/orderProgress.ts';

describe('what is left of an order', () => {
  it.each([
    ['nothing is made: as ordered', 40, 0, { rolls: 40, overPct: 10, underPct: 10 }],
    [
      '30 of 36 to 44 are made: 10, of which 4 may lack and 4 be over',
      40,
      30,
      { rolls: 10, overPct: 40, underPct: 40 },
    ],
    ['39 are made: one, which may lack, and 4 over it', 40, 39, { rolls: 1, overPct: 400, underPct: 100 }],
    [
      '239 of 216 to 264: 24 over one roll are more than a problem may name',
      240,
      239,
      { rolls: 1, overPct: 1000, underPct: 100 },
    ],
  ])('%s', (_what, rolls, covered, left) => {
    expect(leftToPlan({ rolls, overPct: 10, underPct: 10 }, covered)).toEqual(left);
  });
});
