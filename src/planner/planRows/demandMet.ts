// Every demand is made at least to its minimum, or paid for as short.
import type { PlanRowMaker } from './row.ts';

export const demandMet: PlanRowMaker = (model, remaining, first) => {
  const open = model.demands.map((_, d) => d).filter((d) => remaining.min[d] > 0);
  const row = new Map(open.map((d, i) => [d, first + i]));
  const entries = (d: number) => (row.has(d) ? ([[row.get(d) as number, 1]] as [number, number][]) : []);
  return {
    rows: open.map((d) => ({ sense: '>=', rhs: remaining.min[d] })),
    ofStrip: entries,
    ofShort: entries,
  };
};
