// Local search over orders of jobs: stretches moved elsewhere or turned round (or-opt and 2-opt; Or, PhD thesis,
// Northwestern University, 1976), bounded in steps.
import { isLess, type Score } from './sequenceScore.ts';

/** Tries one move after another, round and round, until none of them helps or the steps are used up. */
export function descend<End extends { score: Score }>(
  from: number[],
  endOf: (order: number[]) => End,
  steps: number,
): { order: number[]; end: End } {
  let best = { order: from, end: endOf(from) };
  let left = Math.floor(steps / from.length);
  for (let better = true; better; ) {
    better = false;
    for (const move of movesOf(from.length)) {
      if (left-- <= 0) return best;
      const order = moved(best.order, move);
      const end = endOf(order);
      if (!isLess(end.score, best.end.score)) continue;
      best = { order, end };
      better = true;
    }
  }
  return best;
}

/** So many jobs from a place on: put elsewhere, or (`to` undefined) turned round. */
interface Move {
  from: number;
  length: number;
  to: number | undefined;
}

/** One to three jobs in a row moved elsewhere, near places first, then every stretch turned round, short ones first. */
function* movesOf(n: number): Generator<Move> {
  for (let far = 1; far < n; far++) {
    for (let from = 0; from < n; from++) {
      for (const to of [from - far, from + far]) {
        for (let length = 1; length <= 3 && Math.max(from, to) + length <= n; length++) {
          if (to >= 0) yield { from, length, to };
        }
      }
    }
  }
  for (let length = 3; length <= n; length++) {
    for (let from = 0; from + length <= n; from++) yield { from, length, to: undefined };
  }
}

function moved(order: number[], { from, length, to }: Move): number[] {
  const part = order.slice(from, from + length);
  if (to === undefined) return order.toSpliced(from, length, ...part.reverse());
  return order.toSpliced(from, length).toSpliced(to, 0, ...part);
}
