// A question by days where the state is small: an integer program over every set, roll and day (planner/datedPlan.ts) says
// how many of the asked rolls lack by a day at least, beside all that is kept, and leads to a plan in which no more of them do.
import { ASKED, type Evidence, type Kept, type SalesState } from '../../domain/answer.ts';
import type { PlanControl } from '../../domain/plan.ts';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import type { Question } from '../../domain/question.ts';
import {
  type DatedPool,
  datedPool,
  type FewestLacking,
  fewestLacking,
  planLacking,
} from '../../planner/dated/datedPlan.ts';
import { makePlan } from '../planning/makePlan.ts';
import { type AskedLine, rearranged } from './askProblems.ts';
import type { Cut } from './askSources.ts';
import { keepsAll } from './askTrials.ts';

/** A question of lines on a cut, with whatever days its lines have. */
export interface DatedLook {
  document(lines: AskedLine[]): ProblemDocument;
  /** Of `line` among the lines so many lack by its day. `restFollows`: the others of its least are made later. */
  lacking(lines: AskedLine[], line: AskedLine['id'], restFollows: boolean): FewestLacking | undefined;
  /** A checked plan in which the lines and all that is kept are in time; undefined where none is found. */
  plan(lines: AskedLine[]): Evidence | undefined;
}

/** `lines` with any days and numbers. Where there is too much to write out, everything about it is undefined. */
export function datedLook(
  state: SalesState,
  kept: Kept,
  cut: Cut,
  q: Question,
  control: PlanControl,
): DatedLook {
  const pools = new Map<string, DatedPool | undefined>();
  const document = (lines: AskedLine[]): ProblemDocument => {
    const all = rearranged(state, kept, cut, q, lines);
    // The days alone are to say what comes first.
    const orders = all.orders.map(({ priority, ...order }) => order);
    return { ...all, orders };
  };
  const open = (lines: AskedLine[]) => {
    const read = parseProblem(document(lines));
    if (!read.ok) return undefined;
    const key = JSON.stringify(lines.map(({ by, ...line }) => line));
    if (!pools.has(key)) pools.set(key, datedPool(read.problem));
    const pool = pools.get(key);
    return pool && { pool, problem: read.problem };
  };
  return {
    document,
    lacking(lines, line, restFollows) {
      const opened = open(lines);
      return opened && fewestLacking(opened.pool, opened.problem, { order: line, restFollows }, control);
    },
    plan(lines) {
      const opened = open(lines);
      const mayLack = { order: ASKED, restFollows: false };
      const plan = opened && planLacking(opened.pool, opened.problem, mayLack, 0, control);
      if (!plan || !keepsAll(plan, kept, lines)) return undefined;
      const all = document(lines);
      const made = makePlan(all, control, () => plan);
      if (!made.ok) throw new Error(`a plan by days is faulty: ${JSON.stringify(made.faults)}`);
      return { document: all, plan: made.plan };
    },
  };
}
