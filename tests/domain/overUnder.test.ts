// The over- and under-run rule at dispatch: ceil(q (1 - u)) .. floor(q (1 + o)).
import { describe, expect, it } from 'vitest';
import { isSettled, maySend } from '../../src/domain/overUnder.ts';

const order = { rolls: 40, overPct: 10, underPct: 10, sent: 0, packed: 0, ready: 0, held: 0, coming: 0 };

describe('how many rolls may be sent', () => {
  it('40 rolls +/-10 % are 36 to 44, 5 rolls +/-10 % are exactly 5', () => {
    expect(maySend(order)).toEqual({ least: 36, most: 44, room: 44 });
    expect(maySend({ ...order, rolls: 5 })).toEqual({ least: 5, most: 5, room: 5 });
  });

  it('what is sent or packed takes room, never below none', () => {
    expect(maySend({ ...order, sent: 30, packed: 10 }).room).toBe(4);
    expect(maySend({ ...order, sent: 50 }).room).toBe(0);
  });

  it.each([
    ['nothing is sent', {}, false],
    ['the least is sent and nothing follows', { sent: 36 }, true],
    ['the least is sent, but rolls are ready', { sent: 36, ready: 1 }, false],
    ['the least is sent, but rolls are on hold', { sent: 36, held: 1 }, false],
    ['the least is sent, but runs have yet to make some', { sent: 36, coming: 3 }, false],
    ['less than the least is sent and nothing follows', { sent: 35 }, false],
    ['the most is sent, whatever lies in the house', { sent: 44, ready: 9 }, true],
  ])('settled when %s: %o', (_title, change, settled) => {
    expect(isSettled({ ...order, ...change })).toBe(settled);
  });
});
