// Full-featured problems: the planner beside HiGHS on the whole problem written out as one integer program, with set-ups
// and limits, each in the same time. The written-out program is only possible for small problems.
// It counts a setting of the knives once even where rolls used in part make it come twice, so its cost may be out of
// reach for any plan; the planner's is that of the finished plan.
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { planned } from '../planner/planned.ts';
import { leastCost } from '../planner/reference/fullModel.ts';
import { randomSetups } from '../planner/reference/randomProblem.ts';
import { cpuSeconds, median } from './cpuSeconds.ts';

const SEEDS = Array.from({ length: 20 }, (_, k) => 501 + k);
const SAME = 1e-5;

export function benchFull(seconds: number): void {
  console.log('seed  columns      planner        time        HiGHS        time   times faster');
  const rows = SEEDS.flatMap((seed) => {
    const row = compare(seed, seconds);
    return row ? [row] : [];
  });
  const dearer = rows.filter(({ ratio }) => ratio > 1 + SAME);
  console.log(`${rows.length} problems: planner dearer on ${dearer.length}, cheaper on ${
    rows.filter(({ ratio }) => ratio < 1 - SAME).length
  }; dearest ${(100 * (Math.max(...rows.map(({ ratio }) => ratio)) - 1)).toFixed(2)} %
times faster than HiGHS, median: ${median(rows.map(({ faster }) => faster)).toFixed(1)}`);
}

function compare(seed: number, seconds: number): { ratio: number; faster: number } | undefined {
  const document = randomSetups(seed);
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  const began = cpuSeconds();
  const plan = planned(document, seconds);
  const spent = cpuSeconds() - began;
  const start = cpuSeconds();
  const highs = leastCost(parsed.problem, seconds);
  const spentHighs = cpuSeconds() - start;
  const found = highs.found;
  console.log(
    `${String(seed).padStart(4)} ${String(highs.columns).padStart(8)} ${plan.cost.total.toFixed(2).padStart(12)} ${spent.toFixed(2).padStart(9)} s ${(found?.toFixed(2) ?? 'nothing').padStart(12)} ${spentHighs.toFixed(2).padStart(9)} s ${(spentHighs / spent).toFixed(1).padStart(10)}`,
  );
  return {
    ratio: found === undefined || found === 0 ? 1 : plan.cost.total / found,
    faster: spentHighs / spent,
  };
}
