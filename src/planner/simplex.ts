// The simplex method for masters: few rows, columns that come by and by. Revised, with the inverse of the basis kept
// explicitly (Dantzig 1953), so that a solve after new columns goes on from the last basis, and duals are at hand.
// Right-hand sides are moved by a hair against degeneracy (Charnes 1952) and put back at the end. What it says is not to
// be trusted without a certificate: lp.ts asks for one, and knows whom to ask when this loses its way.
import { type Basis, exchange, invert, SMALLEST_PIVOT, setDirection } from './simplexBasis.ts';
import type { SparseColumns } from './sparseColumns.ts';

export interface Simplex {
  /** Primal and dual values; undefined when there is no basis to begin with or no end is found. */
  solve(): { x: Float64Array; y: Float64Array } | undefined;
  /** Computes the inverse afresh; false when that cannot be done. */
  refresh(): boolean;
}

const TINY = 1e-9;
const HAIR = 1e-9;
const PIVOTS_PER_ROW = 60;
const NONE = -1;
const NO_COLUMN = Number.MIN_SAFE_INTEGER;

/** `rows` stay as they are; columns may be added between two solves. */
export function openSimplex(rows: { sense: '>=' | '<='; rhs: number }[], columns: SparseColumns): Simplex {
  let state: Basis | undefined;
  return {
    solve() {
      state ??= begin(rows, columns);
      if (!state || !toTheEnd(state)) return undefined;
      return read(state);
    },
    refresh: () => state !== undefined && invert(state),
  };
}

/** A basis of slacks and, where a row asks for something, the cheapest column that only that row knows. */
function begin(rows: { sense: '>=' | '<='; rhs: number }[], columns: SparseColumns): Basis | undefined {
  const m = rows.length;
  const rhs = Float64Array.from(rows, (row) => row.rhs);
  const state: Basis = {
    columns,
    m,
    slackSign: Float64Array.from(rows, (row) => (row.sense === '<=' ? 1 : -1)),
    rhs,
    moved: rhs.map((b, i) => b + HAIR * (1 + Math.abs(b)) * (1 + ((i * 7919) % 1013) / 1013)),
    basis: Int32Array.from(rows, (_, i) => ~i),
    inverse: new Float64Array(m * m),
    value: new Float64Array(m),
    y: new Float64Array(m),
    candidates: [],
    direction: new Float64Array(m),
  };
  const single = cheapestAlone(columns, m);
  for (let i = 0; i < m; i++) {
    const slackFits = state.slackSign[i] * rhs[i] >= 0;
    if (!slackFits) {
      if (rhs[i] < 0 || single[i] === NONE) return undefined;
      state.basis[i] = single[i];
    } else if (rhs[i] === 0) state.moved[i] = state.slackSign[i] * Math.abs(state.moved[i]);
  }
  return invert(state) ? state : undefined;
}

/** For each row the column with an entry there and nowhere else that serves it at least cost. */
function cheapestAlone({ count, cost, start, row, value }: SparseColumns, m: number): Int32Array {
  const found = new Int32Array(m).fill(NONE);
  const price = new Float64Array(m).fill(Infinity);
  for (let j = 0; j < count; j++) {
    const at = start[j];
    if (start[j + 1] !== at + 1 || value[at] <= 0) continue;
    const each = cost[j] / value[at];
    if (each >= price[row[at]]) continue;
    price[row[at]] = each;
    found[row[at]] = j;
  }
  return found;
}

function toTheEnd(state: Basis): boolean {
  for (let left = PIVOTS_PER_ROW * (state.m + 10); left > 0; left--) {
    const entering = mostGaining(state);
    if (entering === NO_COLUMN) return true;
    setDirection(state, entering);
    const place = firstToVanish(state);
    if (place === NONE) return false;
    exchange(state, place, entering, reducedCost(state, entering));
  }
  return false;
}

/** The column or slack that gains most among the candidates; when none of them gains any more, all are looked at. */
function mostGaining(state: Basis): number {
  const found = bestCandidate(state);
  if (found !== NO_COLUMN) return found;
  const { m, columns, candidates } = state;
  for (let column = -m; column < columns.count; column++) {
    if (isGain(state, column, reducedCost(state, column))) candidates.push(column);
  }
  return bestCandidate(state);
}

/** The candidate of most negative reduced cost; those that gain nothing are candidates no longer. */
function bestCandidate(state: Basis): number {
  const { candidates } = state;
  let best = NO_COLUMN;
  let least = 0;
  let kept = 0;
  for (let c = 0; c < candidates.length; c++) {
    const gain = reducedCost(state, candidates[c]);
    if (!isGain(state, candidates[c], gain)) continue;
    candidates[kept++] = candidates[c];
    if (gain >= least) continue;
    least = gain;
    best = candidates[c];
  }
  candidates.length = kept;
  return best;
}

function isGain({ columns }: Basis, column: number, gain: number): boolean {
  return gain < -TINY && (column < 0 || gain < -TINY * Math.abs(columns.cost[column]));
}

function reducedCost({ columns, y, slackSign }: Basis, column: number): number {
  if (column < 0) return -slackSign[~column] * y[~column];
  const { cost, start, row, value } = columns;
  let gain = cost[column];
  for (let at = start[column]; at < start[column + 1]; at++) gain -= value[at] * y[row[at]];
  return gain;
}

/** The place of the basis whose value is the first to reach nothing; of equals the one that changes most. */
function firstToVanish({ m, value, direction }: Basis): number {
  let place = NONE;
  let least = Infinity;
  for (let i = 0; i < m; i++) {
    if (direction[i] <= SMALLEST_PIVOT) continue;
    const ratio = Math.max(0, value[i]) / direction[i];
    if (ratio < least || (ratio === least && direction[i] > direction[place])) {
      least = ratio;
      place = i;
    }
  }
  return place;
}

/** Values at the true right-hand sides; what the hair leaves below nothing is nothing. */
function read({ m, basis, columns, inverse, rhs, y }: Basis): { x: Float64Array; y: Float64Array } {
  const x = new Float64Array(columns.count);
  for (let p = 0; p < m; p++) {
    if (basis[p] < 0) continue;
    let sum = 0;
    for (let k = 0; k < m; k++) sum += inverse[p * m + k] * rhs[k];
    x[basis[p]] = Math.max(0, sum);
  }
  return { x, y: y.slice() };
}
