// Set-ups: the CUTGEN1 instances (Gau & Waescher 1995) with a set-up at a hundredth of a roll, so least rolls come first,
// then least patterns: how many patterns before set-ups count, and after.
import type { Plan } from '../../src/domain/plan.ts';
import { planned } from '../planner/planned.ts';
import { cuttingStock, readBenchmark } from '../readCases.ts';
import { cpuSeconds } from './cpuSeconds.ts';

const SET_UP = { minutesPerSetup: 60, costPerHour: 0.01 };
const MOST = 12;
const rollsOf = ({ runs }: Plan) => runs.reduce((sum, run) => sum + run.sets, 0);
const patternsOf = ({ runs }: Plan) =>
  new Set(runs.map(({ trimLeftMm, strips }) => JSON.stringify([trimLeftMm, strips.map(({ toMm }) => toMm)])))
    .size;

export function benchSetups(seconds: number): void {
  console.log(
    'instance                widths  rolls  patterns: without, with set-ups   fewest at all    planner',
  );
  const sums = { plain: 0, fewer: 0, more: 0 };
  const instances = readBenchmark().filter(({ source }) => source.startsWith('CUTGEN1'));
  for (const { name, rollWidth, items } of instances.slice(0, MOST)) {
    const lines = items.map(([width, demand]) => ({ width, demand }));
    const plain = planned(cuttingStock([rollWidth], lines), seconds);
    const start = cpuSeconds();
    const plan = planned(cuttingStock([rollWidth], lines, { slitter: SET_UP, overPct: 100 }), seconds);
    const spent = cpuSeconds() - start;
    // no plan has fewer patterns at the same rolls than the bound has room for
    const least = Math.ceil((plan.bound.cost - rollsOf(plan)) / SET_UP.costPerHour - 1e-6);
    sums.plain += patternsOf(plain);
    sums.fewer += patternsOf(plan);
    sums.more += Math.max(0, rollsOf(plan) - rollsOf(plain));
    console.log(
      `${name.padEnd(23)} ${String(items.length).padStart(6)} ${String(rollsOf(plan)).padStart(6)} ${String(patternsOf(plain)).padStart(12)} ${String(patternsOf(plan)).padStart(9)} ${`at least ${Math.max(1, least)}`.padStart(26)} ${spent.toFixed(2).padStart(10)} s`,
    );
  }
  console.log(`patterns in all: ${sums.plain} without, ${sums.fewer} with set-ups; rolls more: ${sums.more}`);
}
