// How much web of given widths a demand of strips takes at least, when patterns may repeat as often as wanted: the relaxation
// of Gilmore and Gomory (1961), with columns priced by a knapsack in whole cells. It says how well a base width suits the
// orders before anything is bought. Lengths in m, money per m of web.
import { type LinearProgram, openLp } from '../solvers/lp.ts';

export interface WebChoice {
  widthUm: number;
  /** Both edges that no strip may take. */
  edgesUm: number;
  costPerM: number;
}

export interface StripDemand {
  widthUm: number;
  metres: number;
}

export interface CutBound {
  cost: number;
  /** Metres of each web, in the order given. */
  metres: number[];
}

/** Finer cells than this many across a web say nothing that a plant could use. */
const MOST_CELLS = 4000;
const ROUNDS = 200;
const GAIN = 1e-7;

/** Undefined when a strip fits none of the webs. */
export function cutBound(
  webs: readonly WebChoice[],
  strips: readonly StripDemand[],
  maxStrips = 1000,
): CutBound | undefined {
  const wanted = strips.filter(({ metres }) => metres > 0);
  if (wanted.length === 0) return { cost: 0, metres: webs.map(() => 0) };
  const lp = openLp(wanted.map(({ metres }) => ({ sense: '>=', rhs: metres })));
  const webOf: number[] = [];
  try {
    if (!startColumns(lp, webs, wanted, maxStrips, webOf)) return undefined;
    const knapsacks = webs.map((web) => knapsack(web.widthUm - web.edgesUm, wanted, maxStrips));
    for (let round = 0; round < ROUNDS; round += 1) {
      const y = Array.from(lp.solve().y);
      let added = false;
      webs.forEach((web, w) => {
        const best = (knapsacks[w] as Knapsack)(y);
        if (best.worth <= web.costPerM * (1 + GAIN)) return;
        addColumn(lp, web.costPerM, best.counts);
        webOf.push(w);
        added = true;
      });
      if (!added) break;
    }
    const solution = lp.solve();
    const x = Array.from(solution.x);
    const metres = webs.map((_, w) => x.reduce((sum, value, j) => (webOf[j] === w ? sum + value : sum), 0));
    return { cost: solution.objective, metres };
  } finally {
    lp.dispose();
  }
}

function addColumn(lp: LinearProgram, cost: number, counts: readonly number[]): void {
  lp.addColumn(
    cost,
    counts.flatMap((many, i) => (many > 0 ? [[i, many] as [number, number]] : [])),
  );
}

/** One pattern of each strip alone on each web that it fits. */
function startColumns(
  lp: LinearProgram,
  webs: readonly WebChoice[],
  strips: readonly StripDemand[],
  maxStrips: number,
  webOf: number[],
): boolean {
  return strips.every((strip, i) => {
    let fits = false;
    webs.forEach((web, w) => {
      const many = Math.min(maxStrips, Math.floor((web.widthUm - web.edgesUm) / strip.widthUm));
      if (many < 1) return;
      fits = true;
      addColumn(
        lp,
        web.costPerM,
        strips.map((_, k) => (k === i ? many : 0)),
      );
      webOf.push(w);
    });
    return fits;
  });
}

type Knapsack = (worth: readonly number[]) => { worth: number; counts: number[] };

const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));

/** The set of strips of most worth across a usable width; strips are rounded up to whole cells, never down. */
function knapsack(usableUm: number, strips: readonly StripDemand[], maxStrips: number): Knapsack {
  const exact = strips.reduce((cell, { widthUm }) => gcd(cell, widthUm), 0);
  const cell = Math.max(exact, Math.ceil(usableUm / MOST_CELLS));
  const cells = Math.max(0, Math.floor(usableUm / cell));
  const sizes = strips.map(({ widthUm }) => Math.ceil(widthUm / cell));
  const most = Math.floor(cells / Math.min(...sizes));
  return most <= maxStrips ? freely(cells, sizes) : inLayers(cells, sizes, maxStrips);
}

/** As many strips as there is room for: one pass over the cells. */
function freely(cells: number, sizes: readonly number[]): Knapsack {
  return (worth) => {
    const best = new Float64Array(cells + 1);
    const choice = new Int16Array(cells + 1).fill(-1);
    for (let c = 1; c <= cells; c += 1) {
      best[c] = best[c - 1] as number;
      sizes.forEach((size, i) => {
        if (size > c) return;
        const value = (best[c - size] as number) + (worth[i] as number);
        if (value > (best[c] as number) + 1e-12) {
          best[c] = value;
          choice[c] = i;
        }
      });
    }
    const counts = sizes.map(() => 0);
    for (let c = cells; c > 0; ) {
      const i = choice[c] as number;
      if (i >= 0) counts[i] = (counts[i] as number) + 1;
      c -= i >= 0 ? (sizes[i] as number) : 1;
    }
    return { worth: best[cells] as number, counts };
  };
}

/** At most so many strips: one pass for each of them. */
function inLayers(cells: number, sizes: readonly number[], layers: number): Knapsack {
  return (worth) => {
    let before = new Float64Array(cells + 1);
    const chosen: Int16Array[] = [];
    for (let k = 0; k < layers; k += 1) {
      const best = before.slice();
      const choice = new Int16Array(cells + 1).fill(-1);
      sizes.forEach((size, i) => {
        for (let c = size; c <= cells; c += 1) {
          const value = (before[c - size] as number) + (worth[i] as number);
          if (value > (best[c] as number) + 1e-12) {
            best[c] = value;
            choice[c] = i;
          }
        }
      });
      chosen.push(choice);
      if (choice.every((one) => one < 0)) break;
      before = best;
    }
    const counts = sizes.map(() => 0);
    let c = cells;
    for (let k = chosen.length - 1; k >= 0; k -= 1) {
      const i = (chosen[k] as Int16Array)[c] as number;
      if (i < 0) continue;
      counts[i] = (counts[i] as number) + 1;
      c -= sizes[i] as number;
    }
    return { worth: before[cells] ?? 0, counts };
  };
}
