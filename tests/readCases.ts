// Published cases as problems: a case has stock widths and items (width, demand) and says what was found for it.
import { readFileSync } from 'node:fs';
import type { ProblemDocument } from '../src/domain/problemSchema.ts';

export interface Item {
  width: number;
  demand: number;
}
export interface Case {
  name: string;
  source: string;
  stock_widths: (number | { width: number; cost: number })[];
  items: Item[];
  // biome-ignore lint/suspicious/noExplicitAny: each case has its own answers
  verified_answer: any;
}

export interface Instance {
  source: string;
  name: string;
  rollWidth: number;
  items: [width: number, demand: number][];
  publishedLowerBound: number | null;
  publishedBest: number | null;
}

const read = (path: string) => JSON.parse(readFileSync(new URL(`cases/${path}`, import.meta.url), 'utf8'));

/** A case by its path below tests/cases, without `.json`. */
export const readCase = (path: string): Case => read(`${path}.json`);
export const readBenchmark = (): Instance[] => read('benchmark/instances.json').instances;

export interface Variant {
  slitter?: Partial<ProblemDocument['slitters'][number]>;
  overPct?: number;
  underPct?: number;
  costPerRoll?: number;
}

/** Textbook cutting stock in the file's words: every length 1 m, rolls as many as could be needed. */
export function cuttingStock(
  stock: Case['stock_widths'],
  items: Item[],
  { slitter = {}, overPct = 0, underPct = 0, costPerRoll = 1 }: Variant = {},
): ProblemDocument {
  const count = items.reduce((sum, item) => sum + item.demand, 0);
  return {
    format: 'lanewright-problem/1',
    slitters: [{ id: 'slitter', ...slitter }],
    products: [{ id: 'film' }],
    rolls: stock.map((given) => {
      const { width, cost } = typeof given === 'number' ? { width: given, cost: costPerRoll } : given;
      return {
        id: `roll-${width}`,
        kind: 'coated',
        item: 'film',
        widthMm: width,
        lengthM: 1,
        count,
        costPerRoll: cost,
      };
    }),
    orders: items.map(({ width, demand }) => ({
      id: `width-${width}`,
      product: 'film',
      widthMm: width,
      lengthM: 1,
      rolls: demand,
      overPct,
      underPct,
    })),
  };
}
