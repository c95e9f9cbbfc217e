// Columns of a linear program as they lie in memory: entries of all columns in a row, so that a pass over them is a pass
// over three plain lists. They grow by doubling.
export interface SparseColumns {
  count: number;
  cost: Float64Array;
  /** Column j has the entries from start[j] up to start[j + 1]. */
  start: Int32Array;
  row: Int32Array;
  value: Float64Array;
}

export function noColumns(): SparseColumns {
  return {
    count: 0,
    cost: new Float64Array(64),
    start: new Int32Array(65),
    row: new Int32Array(256),
    value: new Float64Array(256),
  };
}

export function addSparse(
  columns: SparseColumns,
  cost: number,
  entries: [row: number, value: number][],
): void {
  const { count } = columns;
  let end = columns.start[count];
  if (count === columns.cost.length) {
    columns.cost = larger(columns.cost, new Float64Array(2 * count));
    columns.start = larger(columns.start, new Int32Array(2 * count + 1));
  }
  while (end + entries.length > columns.row.length) {
    columns.row = larger(columns.row, new Int32Array(2 * columns.row.length));
    columns.value = larger(columns.value, new Float64Array(2 * columns.value.length));
  }
  columns.cost[count] = cost;
  for (const [row, value] of entries) {
    columns.row[end] = row;
    columns.value[end++] = value;
  }
  columns.start[count + 1] = end;
  columns.count++;
}

function larger<List extends Float64Array | Int32Array>(old: List, into: List): List {
  into.set(old);
  return into;
}
