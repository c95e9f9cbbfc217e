// The over- and under-run rule at dispatch: how many rolls of an order may be sent. Ordered q, +o %, -u %: at least
// ceil(q (1 - u)), at most floor(q (1 + o)); counted in rolls.
import { acceptedRolls } from './filmMath.ts';
import type { Quantity } from './orderProgress.ts';

export interface OnTheWay extends Quantity {
  sent: number;
  packed: number;
  ready: number;
  held: number;
  coming: number;
}

export interface MaySend {
  least: number;
  most: number;
  /** So many more may be packed. */
  room: number;
}

export function maySend(order: OnTheWay): MaySend {
  const { minRolls, maxRolls } = acceptedRolls(order.rolls, order.overPct, order.underPct);
  return { least: minRolls, most: maxRolls, room: Math.max(0, maxRolls - order.sent - order.packed) };
}

/** Enough is sent, and nothing more will follow: no roll in the house, none coming; or no more may be sent. */
export function isSettled(order: OnTheWay): boolean {
  const { least, most } = maySend(order);
  const follows = order.packed + order.ready + order.held + order.coming > 0;
  return order.sent >= most || (order.sent >= least && !follows);
}
