// Small problems with days, settled by an integer program (datedProgram.ts): how few rolls of one order must lack by its
// day in every plan, proved; and a plan with no more of them lacking, if its runs can be put in time so. The plan has not been
// checked yet: see checkPlan.
import type { Plan, PlanControl } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { assemblePlan } from '../layingOut/assemble.ts';
import { solveMip } from '../solvers/highs.ts';
import type { DatedPool } from './datedPool.ts';
import { datedProgram, type MayLack } from './datedProgram.ts';

export { type DatedPool, datedPool } from './datedPool.ts';
export type { MayLack } from './datedProgram.ts';

export interface FewestLacking {
  /** Proven: every plan lacks so many at least. */
  atLeast: number;
  /** So few lack in the best that the program found; undefined: nothing found. */
  found: number | undefined;
}

const NODES = 3000;
/** HiGHS asks whether to go on some hundred times a second on such programs. */
const QUESTIONS = 4000;
const CHEAP_NODES = 300;
const CHEAP_QUESTIONS = 800;
/** Cheap enough: this near the cheapest of the program, in money. */
const CHEAP_GAP = 1;
const WHOLE = 1e-6;

/** `pool` is that of the problem with any other days. undefined where the program is too large, or did not come far enough. */
export function fewestLacking(
  pool: DatedPool,
  problem: Problem,
  mayLack: MayLack,
  control: PlanControl,
): FewestLacking | undefined {
  const program = datedProgram(problem, pool, mayLack);
  if (!program) return undefined;
  const { x, bound, ended } = solveMip(program.mip, {
    seconds: control.secondsLeft(),
    nodes: NODES,
    questions: QUESTIONS,
    absoluteGap: 0.99,
  });
  if (!x && ended) return undefined;
  return {
    atLeast: Math.max(0, Math.ceil(bound - WHOLE)),
    found: x && Math.round(x[program.lacking]),
  };
}

/** A cheap plan in which at most so many lack, by the program; whether its runs are in time, the plan itself says. */
export function planLacking(
  pool: DatedPool,
  problem: Problem,
  mayLack: MayLack,
  atMost: number,
  control: PlanControl,
): Plan | undefined {
  const program = datedProgram(problem, pool, mayLack, atMost);
  if (!program) return undefined;
  const { x } = solveMip(program.mip, {
    seconds: control.secondsLeft(),
    nodes: CHEAP_NODES,
    questions: CHEAP_QUESTIONS,
    absoluteGap: CHEAP_GAP,
  });
  if (!x) return undefined;
  const proof = { bound: 0, worth: pool.model.demands.map(() => 0), outOfTime: false };
  const plans = [false, true].flatMap((apart) => {
    const { plan, overdue } = assemblePlan(problem, pool.model, program.read(x, apart), proof);
    return overdue.length > 0 ? [] : [plan];
  });
  const lateIn = ({ orders }: Plan) => orders.reduce((sum, { lateDays }) => sum + lateDays, 0);
  return plans.sort((a, b) => lateIn(a) - lateIn(b))[0];
}
