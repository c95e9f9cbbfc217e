// The basis of a simplex with its inverse kept explicitly, row by row: where a column leads, one column for another, and
// all of it computed afresh.
import type { SparseColumns } from './sparseColumns.ts';

export interface Basis {
  columns: SparseColumns;
  m: number;
  /** Of each row: 1 when it may stay below its right-hand side, -1 when above; its slack's coefficient. */
  slackSign: Float64Array;
  rhs: Float64Array;
  /** A hair more or less. */
  moved: Float64Array;
  /** Column in each place of the basis; ~i for the slack of row i. */
  basis: Int32Array;
  /** Row by row. */
  inverse: Float64Array;
  value: Float64Array;
  y: Float64Array;
  /** Columns that gained when all were looked at last. */
  candidates: number[];
  /** How the values in the basis change as the column that enters grows. */
  direction: Float64Array;
}

/** A smaller pivot is taken for nothing. */
export const SMALLEST_PIVOT = 1e-7;

export function setDirection({ m, columns, slackSign, inverse, direction }: Basis, column: number): void {
  direction.fill(0);
  if (column < 0) {
    for (let i = 0, at = ~column; i < m; i++, at += m) direction[i] = slackSign[~column] * inverse[at];
    return;
  }
  for (let e = columns.start[column]; e < columns.start[column + 1]; e++) {
    const a = columns.value[e];
    for (let i = 0, at = columns.row[e]; i < m; i++, at += m) direction[i] += a * inverse[at];
  }
}

export function exchange(state: Basis, place: number, entering: number, gain: number): void {
  const { m, inverse, value, y, direction, basis } = state;
  const pivot = direction[place];
  const own = inverse.subarray(place * m, (place + 1) * m);
  const step = value[place] / pivot;
  const filled = filledOf(own);
  for (const k of filled) {
    own[k] /= pivot;
    y[k] += gain * own[k];
  }
  for (let i = 0; i < m; i++) {
    const share = direction[i];
    if (i === place || share === 0) continue;
    value[i] -= step * share;
    const at = i * m;
    for (let f = 0; f < filled.length; f++) inverse[at + filled[f]] -= share * own[filled[f]];
  }
  value[place] = step;
  basis[place] = entering;
}

function filledOf(list: Float64Array): Int32Array {
  const filled = new Int32Array(list.length);
  let n = 0;
  for (let k = 0; k < list.length; k++) if (list[k] !== 0) filled[n++] = k;
  return filled.subarray(0, n);
}

/** Inverse, values and duals from the basis alone: elimination, each time with the largest pivot of the column. */
export function invert(state: Basis): boolean {
  const { m, basis, columns, inverse, slackSign } = state;
  const matrix = new Float64Array(m * m);
  inverse.fill(0);
  for (let p = 0; p < m; p++) {
    inverse[p * m + p] = 1;
    const column = basis[p];
    if (column < 0) matrix[~column * m + p] = slackSign[~column];
    else {
      for (let e = columns.start[column]; e < columns.start[column + 1]; e++)
        matrix[columns.row[e] * m + p] = columns.value[e];
    }
  }
  for (let p = 0; p < m; p++) if (!eliminate(matrix, inverse, m, p)) return false;
  setValues(state);
  return true;
}

function eliminate(matrix: Float64Array, inverse: Float64Array, m: number, p: number): boolean {
  let from = p;
  for (let i = p + 1; i < m; i++) if (Math.abs(matrix[i * m + p]) > Math.abs(matrix[from * m + p])) from = i;
  const pivot = matrix[from * m + p];
  if (Math.abs(pivot) < SMALLEST_PIVOT) return false;
  for (const table of [matrix, inverse]) {
    const upper = table.slice(from * m, (from + 1) * m).map((a) => a / pivot);
    if (from !== p) table.copyWithin(from * m, p * m, (p + 1) * m);
    table.set(upper, p * m);
  }
  for (let i = 0; i < m; i++) {
    const share = matrix[i * m + p];
    if (i === p || share === 0) continue;
    for (let k = 0; k < m; k++) {
      matrix[i * m + k] -= share * matrix[p * m + k];
      inverse[i * m + k] -= share * inverse[p * m + k];
    }
  }
  return true;
}

function setValues({ m, basis, columns, inverse, moved, value, y }: Basis): void {
  y.fill(0);
  for (let p = 0; p < m; p++) {
    const cost = basis[p] < 0 ? 0 : columns.cost[basis[p]];
    let sum = 0;
    for (let k = 0; k < m; k++) {
      sum += inverse[p * m + k] * moved[k];
      y[k] += cost * inverse[p * m + k];
    }
    value[p] = sum;
  }
}
