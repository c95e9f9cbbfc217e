// The only door to javascript-lp-solver: linear programs min c x, Ax >= or <= b, x >= 0, with their duals.
// The solver has no dual interface, so the duals are read from its tableau's cost row at each row's slack; and it can
// stop short on very degenerate programs, so no result leaves this file without a certificate of optimality (primal
// and dual feasibility, equal objectives). Retreat in order: warm, cold, HiGHS.
import solver from 'javascript-lp-solver';
import { type HighsLp, openHighsLp } from './highs.ts';
import { addSparse, noColumns, type SparseColumns } from './sparseColumns.ts';

export type Entry = [row: number, value: number];
export interface LpRow {
  sense: '>=' | '<=';
  rhs: number;
}
export interface LpSolution {
  x: number[];
  /** Duals: >= 0 for >= rows, <= 0 for <= rows. */
  y: number[];
  objective: number;
}
export interface LinearProgram {
  addColumn(cost: number, column: Entry[]): void;
  /** Solves to optimality with certificate; throws when even HiGHS gives none. */
  solve(): LpSolution;
  dispose(): void;
}

/** Above this many rows HiGHS is the quicker engine for masters (measured; see DEVELOPERS.md). */
const ROWS_FOR_HIGHS = 70;
const TOLERANCE = 1e-7;

interface Program {
  rows: LpRow[];
  columns: SparseColumns;
}
interface Values {
  x: number[];
  y: number[];
}

/** Opens a linear program with fixed rows; columns are added as they are found. It must be feasible and bounded. */
export function openLp(rows: LpRow[]): LinearProgram {
  const program: Program = { rows, columns: noColumns() };
  let simplex: Simplex | undefined;
  let highs: HighsLp | undefined;
  let inHighs = 0;

  function bySimplex(): LpSolution | undefined {
    const warm = simplex && certifiedBy(program, () => solveWarm(simplex as Simplex, program));
    if (warm) return warm;
    simplex = build(program);
    return certifiedBy(program, () => solveCold(simplex as Simplex));
  }
  function byHighs(): LpSolution | undefined {
    highs ??= openHighsLp(rows);
    for (; inHighs < program.columns.count; inHighs++) {
      highs.addColumn(program.columns.cost[inHighs], entriesOf(program.columns, inHighs));
    }
    return certified(program, highs.solve());
  }
  return {
    addColumn: (cost, column) => addSparse(program.columns, cost, column),
    solve() {
      const large = rows.length > ROWS_FOR_HIGHS;
      const solution = large ? (byHighs() ?? bySimplex()) : (bySimplex() ?? byHighs());
      if (!solution)
        throw new Error(`linear program of ${rows.length} rows without a certificate of optimality`);
      return solution;
    },
    dispose: () => highs?.dispose(),
  };
}

function entriesOf({ start, row, value }: SparseColumns, j: number): Entry[] {
  const entries: Entry[] = [];
  for (let at = start[j]; at < start[j + 1]; at++) entries.push([row[at], value[at]]);
  return entries;
}

/** Largest violation of primal feasibility, dual feasibility or equal objectives, relative to the figures' size. */
function certificateError({ rows, columns }: Program, { x, y }: Values): number {
  const { count, cost, start, row, value } = columns;
  const activity = new Float64Array(rows.length);
  let worst = 0;
  let primal = 0;
  let dual = 0;
  for (let j = 0; j < count; j++) {
    let reduced = cost[j];
    for (let at = start[j]; at < start[j + 1]; at++) {
      activity[row[at]] += value[at] * x[j];
      reduced -= value[at] * y[row[at]];
    }
    worst = Math.max(worst, -x[j], -reduced / Math.max(1, Math.abs(cost[j])));
    primal += cost[j] * x[j];
  }
  for (let i = 0; i < rows.length; i++) {
    const { sense, rhs } = rows[i];
    const violation = sense === '>=' ? rhs - activity[i] : activity[i] - rhs;
    worst = Math.max(worst, violation / Math.max(1, Math.abs(rhs)), sense === '>=' ? -y[i] : y[i]);
    dual += rhs * y[i];
  }
  return Math.max(worst, Math.abs(primal - dual) / Math.max(1, Math.abs(primal)));
}

function certified(program: Program, values: Values): LpSolution | undefined {
  const { x, y } = values;
  const { count, cost } = program.columns;
  if (x.length !== count || y.length !== program.rows.length) return undefined;
  if (!(certificateError(program, values) <= TOLERANCE)) return undefined;
  let objective = 0;
  for (let j = 0; j < count; j++) objective += x[j] * cost[j];
  return { x, y, objective };
}

function certifiedBy(program: Program, solve: () => Values): LpSolution | undefined {
  try {
    return certified(program, solve());
  } catch {
    return undefined; // the engine lost its way; the next one in the order of retreat takes over
  }
}

// ---- the simplex tableau of javascript-lp-solver -------------------------------------------------------------------

interface Tableau {
  matrix: Float64Array | number[];
  width: number;
  height: number;
  rhsColumn: number;
  rowByVarIndex: number[];
  colByVarIndex: number[];
  simplex(): unknown;
}
interface SolverRow {
  index: number;
  isUpperBound: boolean;
  addTerm(coefficient: number, variable: unknown): unknown;
}
interface SolverModel {
  tableau: Tableau;
  usePresolve: boolean;
  minimize(): unknown;
  greaterThan(rhs: number): SolverRow;
  smallerThan(rhs: number): SolverRow;
  addVariable(cost: number, id: string): { index: number };
  solve(): unknown;
}
interface Simplex {
  model: SolverModel;
  rows: SolverRow[];
  variables: { index: number }[];
}

function build(program: Program): Simplex {
  const { Model } = solver as unknown as { Model: new (precision: number) => SolverModel };
  const model = new Model(1e-9);
  model.minimize();
  model.usePresolve = false;
  const rows = program.rows.map((row) =>
    row.sense === '>=' ? model.greaterThan(row.rhs) : model.smallerThan(row.rhs),
  );
  const { columns } = program;
  const variables = Array.from({ length: columns.count }, (_, j) => {
    const variable = model.addVariable(columns.cost[j], `x${j}`);
    for (const [i, a] of entriesOf(columns, j)) rows[i].addTerm(a, variable);
    return variable;
  });
  return { model, rows, variables };
}

function solveCold(simplex: Simplex): { x: number[]; y: number[] } {
  simplex.model.solve();
  return readTableau(simplex);
}

function solveWarm(simplex: Simplex, program: Program): { x: number[]; y: number[] } {
  const { columns } = program;
  for (let j = simplex.variables.length; j < columns.count; j++) {
    append(simplex, columns.cost[j], entriesOf(columns, j), `x${j}`);
  }
  simplex.model.tableau.simplex();
  return readTableau(simplex);
}

/** Writes a new column into the solved tableau: its cost plus the sum of its coefficients times the slacks' columns. */
function append(simplex: Simplex, cost: number, column: Entry[], name: string): void {
  const tableau = simplex.model.tableau;
  const variable = simplex.model.addVariable(cost, name);
  simplex.variables.push(variable);
  const { matrix, width, height } = tableau;
  const last = width - 1;
  const inBasis = new Float64Array(height);
  inBasis[0] = matrix[last];
  for (const [i, a] of column) {
    const row = simplex.rows[i];
    const signed = row.isUpperBound ? a : -a;
    const slackColumn = tableau.colByVarIndex[row.index];
    if (slackColumn >= 0) {
      for (let r = 0; r < height; r++) inBasis[r] += signed * matrix[r * width + slackColumn];
    } else {
      inBasis[tableau.rowByVarIndex[row.index]] += signed;
    }
  }
  for (let r = 0; r < height; r++) matrix[r * width + last] = inBasis[r];
}

function readTableau({ model, rows, variables }: Simplex): { x: number[]; y: number[] } {
  const { matrix, width, rhsColumn, rowByVarIndex, colByVarIndex } = model.tableau;
  const y = rows.map((row) => {
    const column = colByVarIndex[row.index];
    if (column < 0) return 0;
    return row.isUpperBound ? matrix[column] : -matrix[column];
  });
  const x = variables.map((variable) => {
    const row = rowByVarIndex[variable.index];
    return row >= 0 ? matrix[row * width + rhsColumn] : 0;
  });
  return { x, y };
}
