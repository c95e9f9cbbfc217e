// A bare integer program in HiGHS for the tests, apart from the planner's own door to it.
import loadHighs from 'highs';
import { cpuSeconds } from '../../bench/cpuSeconds.ts';

interface HighsModel {
  options: { set(options: Record<string, unknown>): void };
  info: { get(name: string): number };
  passModel(model: unknown): void;
  run(callbacks?: Record<number, () => void>): { modelStatus: number };
  getSolution(): { colValue: ArrayLike<number> };
  getObjectiveValue(): number;
  dispose(): void;
}
const highs = (await (loadHighs as unknown as () => Promise<unknown>)()) as {
  infinity: number;
  constants: { callbackType: { mipImprovingSolution: number } };
  createModel(): HighsModel;
};

export const OPTIMAL = 7;

export interface Column {
  cost: number;
  upper: number;
  whole: boolean;
  /** [row, coefficient] */
  entries: [number, number][];
}

export interface MipAnswer {
  /** HiGHS's model status; 7 is optimal. */
  status: number;
  cost: number;
  bound: number;
  x: number[];
  /** Processor time from the hand-over of the program until the last better solution, seconds. */
  foundAfter: number;
}

/** Minimises over x >= 0 with rows between their bounds, to a gap of `absoluteGap` (0: proven optimum). */
export function solveMip(
  rows: { lower: number; upper: number }[],
  columns: Column[],
  { seconds, absoluteGap = 0 }: { seconds: number; absoluteGap?: number },
): MipAnswer {
  const model = highs.createModel();
  try {
    model.options.set({
      output_flag: false,
      time_limit: seconds,
      mip_rel_gap: 0,
      mip_abs_gap: absoluteGap,
      mip_feasibility_tolerance: 1e-7,
    });
    const start = cpuSeconds();
    let foundAfter = 0;
    model.passModel(asHighs(rows, columns));
    const { mipImprovingSolution } = highs.constants.callbackType;
    const { modelStatus } = model.run({
      [mipImprovingSolution]: () => {
        foundAfter = cpuSeconds() - start;
      },
    });
    const x = Array.from(model.getSolution().colValue);
    return {
      status: modelStatus,
      cost: model.getObjectiveValue(),
      bound: model.info.get('mip_dual_bound'),
      x,
      foundAfter: foundAfter || cpuSeconds() - start,
    };
  } finally {
    model.dispose();
  }
}

function asHighs(rows: { lower: number; upper: number }[], columns: Column[]): unknown {
  const bounded = (value: number) =>
    value === Infinity ? highs.infinity : value === -Infinity ? -highs.infinity : value;
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { entries } of columns) {
    for (const [row, value] of entries) {
      indices.push(row);
      values.push(value);
    }
    starts.push(indices.length);
  }
  return {
    numCols: columns.length,
    numRows: rows.length,
    colCost: columns.map(({ cost }) => cost),
    colLower: columns.map(() => 0),
    colUpper: columns.map(({ upper }) => bounded(upper)),
    rowLower: rows.map(({ lower }) => bounded(lower)),
    rowUpper: rows.map(({ upper }) => bounded(upper)),
    matrix: { format: 'csc', numRows: rows.length, numCols: columns.length, starts, indices, values },
    integrality: columns.map(({ whole }) => (whole ? 1 : 0)),
  };
}
