// The only door to HiGHS (the WebAssembly build of the MIP solver): linear programs beyond the size where the
// JavaScript simplex is quicker, and the integer programs that polish a plan or prove it.
// Node limits, not seconds, bound the work, so that the same problem gives the same plan; seconds only cut it short.
import loadHighs from 'highs';

/** min c x, rows within [lower, upper], x >= 0; columns are sparse lists of [row, value]. */
export interface MipModel {
  rowLower: number[];
  rowUpper: number[];
  cost: number[];
  columns: [number, number][][];
  upper: number[];
  /** True for the columns that must be whole numbers. */
  whole: boolean[];
}

export interface MipLimits {
  seconds: number;
  nodes: number;
  /** How often HiGHS may ask whether to go on: bounds the work also before the first branching. */
  questions?: number;
  /** Stop when the best solution is within this of the bound. */
  absoluteGap: number;
  /** Solutions that cost this much or more are of no interest. */
  cutoff?: number;
  start?: number[];
}

export interface MipResult {
  /** undefined: none was found. */
  x: number[] | undefined;
  cost: number;
  /** Proven lower bound on every solution of the model. */
  bound: number;
  /** The search ran to its end: solved, or proved infeasible. */
  ended: boolean;
  /** The clock, not the node limit, ended the search. */
  outOfTime: boolean;
}

interface HighsModel {
  options: { set(options: Record<string, unknown>): void };
  info: { get(name: string): number };
  passModel(model: unknown): void;
  addCol(cost: number, lower: number, upper: number, column: { indices: number[]; values: number[] }): void;
  setSolution(solution: { colValue: number[] }): void;
  run(callbacks?: Record<number, (event: { interrupt(): void }) => void>): { modelStatus: number };
  getSolution(): { colValue: ArrayLike<number>; rowDual: ArrayLike<number> };
  getObjectiveValue(): number;
  dispose(): void;
}
interface Highs {
  infinity: number;
  constants: { callbackType: { mipInterrupt: number } };
  createModel(): HighsModel;
}

const highs = (await (loadHighs as unknown as () => Promise<Highs>)()) as Highs;
const OPTIMAL = 7;
const INFEASIBLE = 8;
const TIME_LIMIT = 13;

export interface HighsLp {
  addColumn(cost: number, column: [number, number][]): void;
  solve(): { x: number[]; y: number[]; optimal: boolean };
  dispose(): void;
}

/** A linear program min c x, rows >= or <= rhs, x >= 0, to which columns can be added between solves. */
export function openHighsLp(rows: { sense: '>=' | '<='; rhs: number }[]): HighsLp {
  const model = highs.createModel();
  model.options.set({ output_flag: false, presolve: 'off' });
  model.passModel({
    numCols: 0,
    numRows: rows.length,
    colCost: [],
    colLower: [],
    colUpper: [],
    rowLower: rows.map((r) => (r.sense === '>=' ? r.rhs : -highs.infinity)),
    rowUpper: rows.map((r) => (r.sense === '<=' ? r.rhs : highs.infinity)),
    matrix: { format: 'csc', numRows: rows.length, numCols: 0, starts: [0], indices: [], values: [] },
  });
  return {
    addColumn(cost, column) {
      model.addCol(cost, 0, highs.infinity, {
        indices: column.map((e) => e[0]),
        values: column.map((e) => e[1]),
      });
    },
    solve() {
      const { modelStatus } = model.run();
      const solution = model.getSolution();
      return {
        x: Array.from(solution.colValue),
        y: Array.from(solution.rowDual),
        optimal: modelStatus === OPTIMAL,
      };
    },
    dispose: () => model.dispose(),
  };
}

const OTHER_SEED = 7;

/**
 * Solves a mixed-integer program to the given limits. The caller checks the solution against its own rules. HiGHS gives up
 * with an error on a program now and then; begun from another seed it does not (met: highs.test.ts), and where it does all
 * the same nothing is found and nothing proved.
 */
export function solveMip(mip: MipModel, limits: MipLimits): MipResult {
  return (
    tryMip(mip, limits, 0) ??
    tryMip(mip, limits, OTHER_SEED) ?? {
      x: undefined,
      cost: Infinity,
      bound: -Infinity,
      ended: false,
      outOfTime: false,
    }
  );
}

/** undefined where HiGHS gives up. */
function tryMip(mip: MipModel, limits: MipLimits, seed: number): MipResult | undefined {
  const model = highs.createModel();
  try {
    model.options.set({
      output_flag: false,
      random_seed: seed,
      mip_rel_gap: 0,
      mip_abs_gap: limits.absoluteGap,
      mip_max_nodes: limits.nodes,
      ...(Number.isFinite(limits.seconds) ? { time_limit: Math.max(0.01, limits.seconds) } : {}),
      ...(limits.cutoff === undefined ? {} : { objective_bound: limits.cutoff }),
    });
    model.passModel(toHighs(mip));
    if (limits.start) model.setSolution({ colValue: limits.start });
    return readMip(model, mip.cost.length, limits.questions);
  } catch (error) {
    if (error instanceof Error && error.name === 'HighsError') return undefined;
    throw error;
  } finally {
    model.dispose();
  }
}

function toHighs(mip: MipModel): unknown {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const column of mip.columns) {
    for (const [row, value] of column) {
      indices.push(row);
      values.push(value);
    }
    starts.push(indices.length);
  }
  const bounded = (v: number) => (v === Infinity ? highs.infinity : v === -Infinity ? -highs.infinity : v);
  const numRows = mip.rowLower.length;
  const numCols = mip.cost.length;
  return {
    numCols,
    numRows,
    colCost: mip.cost,
    colLower: new Array(numCols).fill(0),
    colUpper: mip.upper.map(bounded),
    rowLower: mip.rowLower.map(bounded),
    rowUpper: mip.rowUpper.map(bounded),
    matrix: { format: 'csc', numRows, numCols, starts, indices, values },
    integrality: mip.whole.map((w) => (w ? 1 : 0)),
  };
}

function readMip(model: HighsModel, columns: number, questions = Infinity): MipResult {
  let asked = 0;
  const stop = (event: { interrupt(): void }) => {
    if (++asked > questions) event.interrupt();
  };
  const { modelStatus } = model.run(
    questions < Infinity ? { [highs.constants.callbackType.mipInterrupt]: stop } : undefined,
  );
  if (modelStatus === INFEASIBLE) {
    return { x: undefined, cost: Infinity, bound: Infinity, ended: true, outOfTime: false };
  }
  const cost = model.getObjectiveValue();
  const values = Array.from(model.getSolution().colValue);
  const found = Number.isFinite(cost) && cost < 1e29 && values.length === columns;
  const bound = model.info.get('mip_dual_bound');
  return {
    x: found ? values : undefined,
    cost: found ? cost : Infinity,
    bound: Number.isFinite(bound) ? bound : -Infinity,
    ended: modelStatus === OPTIMAL,
    outOfTime: modelStatus === TIME_LIMIT,
  };
}
