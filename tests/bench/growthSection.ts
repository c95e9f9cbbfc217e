// Growth: generated cutting-stock problems of 10 to 200 widths: time, rolls above the bound, and the exponent of time
// against widths that fits best (least squares of the logarithms).
import type { ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from '../planner/planned.ts';
import { seeded } from '../planner/reference/randomProblem.ts';
import { cuttingStock } from '../readCases.ts';
import { cpuSeconds } from './cpuSeconds.ts';

const WIDTHS = [10, 20, 40, 80, 120, 200];
const SEEDS = [1, 2, 3];
const WEB = 1600;

/** Different widths between a sixteenth and two fifths of the web, 1 to 60 rolls of each. */
function generated(widths: number, seed: number): ProblemDocument {
  const random = seeded(1000 * widths + seed);
  const chosen = new Set<number>();
  while (chosen.size < widths) chosen.add(Math.round(WEB * (0.0625 + 0.3375 * random())));
  const items = [...chosen].map((width) => ({ width, demand: 1 + Math.floor(60 * random()) }));
  return cuttingStock([WEB], items);
}

export function benchGrowth(seconds: number): void {
  console.log('widths     mean time   longest   rolls above the bound');
  planned(generated(10, 0), seconds);
  const points = WIDTHS.map((widths) => {
    const rows = SEEDS.map((seed) => {
      const start = cpuSeconds();
      const plan = planned(generated(widths, seed), seconds);
      return { spent: cpuSeconds() - start, above: Math.round(plan.cost.total - plan.bound.cost) };
    });
    const mean = rows.reduce((sum, { spent }) => sum + spent, 0) / rows.length;
    const longest = Math.max(...rows.map(({ spent }) => spent));
    console.log(
      `${String(widths).padStart(6)} ${mean.toFixed(3).padStart(11)} s ${longest.toFixed(2).padStart(7)} s   ${rows.map(({ above }) => above).join(', ')}`,
    );
    return [Math.log(widths), Math.log(mean)] as const;
  });
  console.log(`time grows with widths to the power ${slope(points).toFixed(2)} (wanted: at most 2)`);
}

function slope(points: (readonly [number, number])[]): number {
  const mean = (at: 0 | 1) => points.reduce((sum, point) => sum + point[at], 0) / points.length;
  const [x, y] = [mean(0), mean(1)];
  const across = points.reduce((sum, point) => sum + (point[0] - x) * (point[1] - y), 0);
  return across / points.reduce((sum, point) => sum + (point[0] - x) ** 2, 0);
}
