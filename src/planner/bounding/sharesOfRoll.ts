// What share of a roll's usable width each strip takes at least, such that the shares of no set are more than a roll.
// Its plain share is one answer; a strip that is wider than what narrow ones leave takes all of it. Dual feasible
// functions say both: thresholds (Martello & Toth, Discrete Applied Mathematics 28, 1990) and steps of a k-th, one upon
// the other (Fekete & Schepers, Mathematical Programming 91, 2001).

const MOST_STEPS = 12;
const MOST_THRESHOLDS = 100;

/**
 * The shares by which `wanted` strips take most rolls, or the first by which they take more than `enough`; widths in
 * the unit of `usable`, whole numbers.
 */
export function sharesOfRoll(widths: number[], wanted: number[], usable: number, enough: number): number[] {
  let best = { rolls: -1, shares: widths.map(() => 0) };
  const lowest = thresholds(widths, usable);
  for (let step = 0; step <= MOST_STEPS && best.rolls <= enough; step++) {
    for (const threshold of lowest) {
      const kept = widths.map((width) => rounded(width, threshold, usable));
      const shares = kept.map((width) => stepped(width, step, usable));
      const rolls = shares.reduce((sum, share, k) => sum + share * wanted[k], 0);
      if (rolls > best.rolls) best = { rolls, shares };
      if (rolls > enough) break;
    }
  }
  return best.shares;
}

function thresholds(widths: number[], usable: number): number[] {
  const all = [0, ...new Set(widths.filter((width) => 2 * width <= usable))];
  const every = Math.ceil(all.length / MOST_THRESHOLDS);
  return all.filter((_, i) => i % every === 0);
}

/** Narrower than the threshold counts for nothing, so wide that nothing but such fits beside it counts in full. */
function rounded(width: number, threshold: number, usable: number): number {
  if (width < threshold) return 0;
  return width > usable - threshold ? usable : width;
}

/** Rounded down to a k-th, of k + 1 parts; a width of just so many parts stays as it is. Step 0 changes nothing. */
function stepped(width: number, k: number, usable: number): number {
  const parts = (k + 1) * width;
  return k === 0 || parts % usable === 0 ? width / usable : Math.floor(parts / usable) / k;
}
