// Pricing by dynamic programming over the web's width, in steps of the widths' greatest common divisor: the way of
// Gilmore & Gomory (1961), each width's strips split into powers of two. It knows no budgets and no remainders, so it
// serves where none can bind, and is the better way where many widths are worth about the same per mm.
import type { Site } from '../model/model.ts';

export interface TableAnswer {
  value: number;
  counts: number[];
}

/** Width steps times bundles of strips beyond which the table would take longer than it saves. */
const LARGEST_TABLE = 3_000_000;

interface Bundle {
  k: number;
  strips: number;
  steps: number;
  value: number;
}

/** The set of greatest worth; undefined when this site or question is not for a table. */
export function priceByTable(
  site: Site,
  values: ArrayLike<number>,
  most: ArrayLike<number>,
): TableAnswer | undefined {
  if (site.web.length > 1 || site.budgets.length > 0) return undefined;
  const step = site.widthsUm.reduce(gcd, 0);
  const steps = Math.floor((site.web[0].toUm - site.web[0].fromUm) / step);
  const bundles = bundlesOf(site, values, most, step, steps);
  if (bundles.length === 0 || steps * bundles.length > LARGEST_TABLE) return undefined;
  const best = new Float64Array(steps + 1);
  const taken = bundles.map((bundle) => {
    const take = new Uint8Array(steps + 1);
    for (let at = steps; at >= bundle.steps; at--) {
      const value = best[at - bundle.steps] + bundle.value;
      if (value > best[at] + 1e-13) {
        best[at] = value;
        take[at] = 1;
      }
    }
    return take;
  });
  return { value: best[steps], counts: trace(site, bundles, taken, steps) };
}

function bundlesOf(
  site: Site,
  values: ArrayLike<number>,
  most: ArrayLike<number>,
  step: number,
  steps: number,
): Bundle[] {
  const bundles: Bundle[] = [];
  for (const [k, width] of site.widthsUm.entries()) {
    const each = width / step;
    let left = values[k] > 1e-11 ? Math.min(most[k], Math.floor(steps / each)) : 0;
    for (let strips = 1; left > 0; strips *= 2) {
      const n = Math.min(strips, left);
      bundles.push({ k, strips: n, steps: n * each, value: n * values[k] });
      left -= n;
    }
  }
  return bundles;
}

function trace(site: Site, bundles: Bundle[], taken: Uint8Array[], steps: number): number[] {
  const counts = site.widthsUm.map(() => 0);
  let at = steps;
  for (let b = bundles.length - 1; b >= 0; b--) {
    if (!taken[b][at]) continue;
    counts[bundles[b].k] += bundles[b].strips;
    at -= bundles[b].steps;
  }
  return counts;
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}
