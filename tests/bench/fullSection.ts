// Full-featured problems of a plant's size: the planner beside HiGHS on the whole problem written out as one integer
// program, with set-ups and limits, each within the same time limit by the clock; times shown are the
// processor's. The program counts a setting of the knives
// once even where rolls used in part make it come twice, and knows no waiting in line; so what HiGHS found is laid out
// like any plan of the planner's, and finished plans are compared. "to HiGHS's cost": the shortest time limit among
// those tried within which the planner's finished and checked plan costs no more than HiGHS's last.
import { parseProblem } from '../../src/domain/problemDocument.ts';
import { checkPlan, printPlanFault } from '../../src/planner/checkPlan.ts';
import { planSlitting } from '../../src/planner/planSlitting.ts';
import { leastCost } from '../planner/reference/fullModel.ts';
import { cpuSeconds, median } from './cpuSeconds.ts';
import { type FullCase, fullCases } from './fullCases.ts';
import { layOut } from './layOut.ts';

const SAME = 1e-5;
/** Time limits for the planner, as parts of the whole. */
const SHORTER = [1 / 64, 1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2];

type Problem = Extract<ReturnType<typeof parseProblem>, { ok: true }>['problem'];

interface Compared {
  ratio: number;
  toCost: number | undefined;
  highsFound: number;
  highsSpent: number;
}

export function benchFull(seconds: number): void {
  console.log(
    "case    columns      planner   gap %     time        HiGHS  found after    time   planner to HiGHS's cost",
  );
  const [warmUp, ...cases] = [...fullCases().slice(0, 1), ...fullCases()];
  timedPlan(problemOf(warmUp as FullCase), seconds / 10);
  const rows = cases.map((one) => compare(one, seconds));
  const dearer = rows.filter(({ ratio }) => ratio > 1 + SAME);
  const met = rows.filter(({ toCost }) => toCost !== undefined);
  const faster = (time: (row: Compared) => number) =>
    median(rows.map((row) => (row.toCost === undefined ? 0 : time(row) / row.toCost))).toFixed(1);
  console.log(`${rows.length} problems, ${seconds} s each: planner dearer on ${dearer.length}, cheaper on ${
    rows.filter(({ ratio }) => ratio < 1 - SAME).length
  }; dearest ${(100 * (Math.max(...rows.map(({ ratio }) => ratio)) - 1)).toFixed(2)} %
as good as HiGHS's last plan on ${met.length}; times faster at it, median: ${faster(
    ({ highsFound }) => highsFound,
  )} than HiGHS found it, ${faster(({ highsSpent }) => highsSpent)} than HiGHS ended`);
}

function problemOf({ document }: FullCase): Problem {
  const parsed = parseProblem(document);
  if (!parsed.ok) throw new Error(JSON.stringify(parsed.faults));
  return parsed.problem;
}

function timedPlan(problem: Problem, seconds: number) {
  const [start, began] = [cpuSeconds(), performance.now()];
  const secondsLeft = () => seconds - (performance.now() - began) / 1000;
  const plan = planSlitting(problem, { secondsLeft, report: () => {} });
  const faults = checkPlan(problem, plan);
  if (faults.length > 0) throw new Error(faults.map(printPlanFault).join('\n'));
  return { plan, spent: cpuSeconds() - start };
}

function compare(one: FullCase, seconds: number): Compared {
  const problem = problemOf(one);
  const { plan, spent } = timedPlan(problem, seconds);
  const start = cpuSeconds();
  const highs = leastCost(problem, seconds);
  const highsSpent = cpuSeconds() - start;
  const highsCost = highs.found === undefined ? Infinity : layOut(problem, highs).cost.total;
  const toCost =
    timeTo(problem, highsCost, seconds) ?? (atMost(plan.cost.total, highsCost) ? spent : undefined);
  console.log(
    `${one.name.padEnd(7)} ${String(highs.columns).padStart(7)} ${plan.cost.total.toFixed(2).padStart(12)} ${plan.bound.gapPct.toFixed(2).padStart(7)} ${spent.toFixed(2).padStart(8)} ${highsCost.toFixed(2).padStart(12)} ${highs.foundAfter.toFixed(2).padStart(12)} ${highsSpent.toFixed(2).padStart(7)} ${(toCost?.toFixed(2) ?? 'never').padStart(12)}${highs.cost === undefined ? '' : '   proved'}`,
  );
  return { ratio: plan.cost.total / highsCost, toCost, highsFound: highs.foundAfter, highsSpent };
}

const atMost = (cost: number, target: number) => cost <= target * (1 + SAME);

/** Time that the planner takes when its limit is just enough for a plan that costs no more. */
function timeTo(problem: Problem, target: number, seconds: number): number | undefined {
  for (const share of SHORTER) {
    const { plan, spent } = timedPlan(problem, share * seconds);
    if (atMost(plan.cost.total, target)) return spent;
  }
  return undefined;
}
