// The left-to-right order of the strips on one stretch of web, so that as many knives as possible stand where they are
// wanted. Where a knife stands depends only on which strips lie left of it, so a dynamic program over "so many of each
// width used" finds the best of all orders; it is as large as the product of the numbers of strips of each width.
// Positions are um from the left datum edge.

/** So many strips of one width side by side somewhere on the web. */
export interface StripKind {
  widthUm: number;
  n: number;
}

/** What a knife at this position is worth, 0 or more. */
export type KnifeWorth = (atUm: number) => number;

/** More states than this and the strips stay in the order given. */
const MOST_STATES = 60_000;
const SAME = 1e-9;

/**
 * The order (indexes into `kinds`, one per strip) that makes the knives right of each strip worth most. Among equals
 * strips of one width stay together, then the order of `kinds` counts.
 */
export function bestOrder(
  kinds: StripKind[],
  fromUm: number,
  worth: KnifeWorth,
): { order: number[]; worth: number } {
  const steps: number[] = [];
  let states = 1;
  for (const { n } of kinds) {
    steps.push(states);
    states *= n + 1;
  }
  if (states > MOST_STATES) return inGivenOrder(kinds, fromUm, worth);
  const best = worthFromHere(kinds, steps, states, fromUm, worth);
  return { order: readOrder(kinds, steps, best, fromUm, worth), worth: best[0] };
}

function inGivenOrder(kinds: StripKind[], fromUm: number, worth: KnifeWorth) {
  const order = kinds.flatMap(({ n }, k) => new Array<number>(n).fill(k));
  let at = fromUm;
  let sum = 0;
  for (const k of order) {
    at += kinds[k].widthUm;
    sum += worth(at);
  }
  return { order, worth: sum };
}

/** For every "so many of each used": the most that the knives still to come can be worth. */
function worthFromHere(
  kinds: StripKind[],
  steps: number[],
  states: number,
  fromUm: number,
  worth: KnifeWorth,
): Float64Array {
  const best = new Float64Array(states);
  const here = new Float64Array(states);
  const used = kinds.map(({ n }) => n);
  let at = kinds.reduce((sum, { widthUm, n }) => sum + n * widthUm, fromUm);
  for (let state = states - 1; state >= 0; state--) {
    here[state] = worth(at);
    let most = state === states - 1 ? 0 : -Infinity;
    for (let k = 0; k < kinds.length; k++) {
      if (used[k] === kinds[k].n) continue;
      const ahead = state + steps[k];
      const value = here[ahead] + best[ahead];
      if (value > most) most = value;
    }
    best[state] = most;
    at -= countDown(kinds, used);
  }
  return best;
}

/** One state back: the first kind that has a strip gives it up, those before it are full again. Gives the um left. */
function countDown(kinds: StripKind[], used: number[]): number {
  let um = 0;
  for (let k = 0; k < kinds.length; k++) {
    if (used[k] > 0) {
      used[k]--;
      return um + kinds[k].widthUm;
    }
    used[k] = kinds[k].n;
    um -= kinds[k].n * kinds[k].widthUm;
  }
  return um;
}

function readOrder(
  kinds: StripKind[],
  steps: number[],
  best: Float64Array,
  fromUm: number,
  worth: KnifeWorth,
): number[] {
  const order: number[] = [];
  const left = kinds.map(({ n }) => n);
  let state = 0;
  let at = fromUm;
  while (state < best.length - 1) {
    const isBest = (k: number) =>
      left[k] > 0 && worth(at + kinds[k].widthUm) + best[state + steps[k]] >= best[state] - SAME;
    const before = order.at(-1);
    const k = before !== undefined && isBest(before) ? before : kinds.findIndex((_, other) => isBest(other));
    order.push(k);
    left[k]--;
    at += kinds[k].widthUm;
    state += steps[k];
  }
  return order;
}
