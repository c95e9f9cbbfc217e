// Who gets which strip. Strips of a demand are shared among its orders: first every order's least quantity, rush and
// early ones first, then up to what was ordered, then up to what may be over; what nobody may take goes to waste.
// Two ways to hand them out: whole columns of a run to one order where they can, so that a run splits as rarely as
// possible; or always the first strips cut to the most urgent order, where that saves days.
import type { Order, Problem } from '../../domain/problem.ts';
import type { Model } from '../model/model.ts';

export interface Labels {
  /** Owners of `times` sets of strips of this demand in `columns` columns: per column, pieces in order. */
  label(demand: number, columns: number, times: number): Piece[][];
}

/** So many sets in a row for one order; `order` is undefined for a waste strip, and for a filler. */
export interface Piece {
  order: number | undefined;
  waste: boolean;
  sets: number;
}

export type LabelStyle = 'few runs' | 'urgent first';

/** Opens the shares for the rolls that the plan makes of each demand. */
export function openLabels(problem: Problem, model: Model, made: number[], style: LabelStyle): Labels {
  const shares = model.demands.map((_, d) => sharesOf(problem, model, d, made[d]));
  return {
    label(demand, columns, times) {
      return Array.from({ length: columns }, () => takeColumn(shares[demand], times, style));
    },
  };
}

export interface Share {
  order: number | undefined;
  waste: boolean;
  left: number;
}

/** Who gets the rolls made of a demand, the most urgent first. */
export function sharesOf(problem: Problem, model: Model, d: number, made: number): Share[] {
  const demand = model.demands[d];
  if (demand.filler !== undefined) {
    const kept = Math.min(made, demand.max);
    return [
      { order: undefined, waste: false, left: kept },
      { order: undefined, waste: true, left: made - kept },
    ];
  }
  const shares = byUrgency(problem, demand.orders).map((order) => ({ order, waste: false, left: 0 }));
  let left = made;
  for (const upTo of ['minRolls', 'rolls', 'maxRolls'] as const) {
    for (const item of shares) {
      const more = Math.min(left, Math.max(0, problem.orders[item.order][upTo] - item.left));
      item.left += more;
      left -= more;
    }
  }
  return [...shares, { order: undefined, waste: true, left }];
}

/** Orders by priority, due day and name. */
function byUrgency(problem: Problem, orders: number[]): number[] {
  const key = (order: number) => `${urgency(problem.orders[order])}|${problem.orders[order].id}`;
  return [...orders].sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
}

/** A text that sorts orders from the most urgent on: priority, then due day. */
export function urgency({ priority, dueOn }: Order): string {
  const rank = { rush: 0, normal: 1, low: 2 }[priority];
  return `${rank}|${dueOn ?? '9999-99-99'}`;
}

function takeColumn(shares: Share[], times: number, style: LabelStyle): Piece[] {
  const enough = (item: Share) => item.left >= times;
  const whole =
    style === 'few runs' ? (shares.find((item) => item.left === times) ?? shares.find(enough)) : undefined;
  const pieces: Piece[] = [];
  let left = times;
  for (const item of whole ? [whole] : shares) {
    const sets = Math.min(left, item.left);
    if (sets === 0) continue;
    item.left -= sets;
    left -= sets;
    pieces.push({ order: item.order, waste: item.waste, sets });
  }
  if (left > 0) throw new Error('more strips were cut than were shared out');
  return pieces;
}
