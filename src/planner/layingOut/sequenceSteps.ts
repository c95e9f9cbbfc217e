// A slitter at work, step by step: each step sets up one job and cuts it as far as the rolls allow. A roll on the
// unwind is cut to its end before the next is threaded; a job goes on over as many rolls as it needs, but leaves the
// machine free where its next roll is not there yet. The state says what is left, what time it is, and how good that is.
import { type KnifeChange, knifeChange, knifeChanges } from './knifeChange.ts';
import type { Placed } from './placeStrips.ts';
import { chunkFor, isWanted, rollFor, usedOfStock } from './sequenceRolls.ts';
import {
  countLate,
  dayOf,
  HASTE,
  MONEY,
  MOVES,
  NO_SCORE,
  OPEN,
  OVERDUE,
  type Score,
} from './sequenceScore.ts';
import type { RollKind, Work } from './sequenceWork.ts';

/** Sets of one job in a row from one roll. */
export interface Piece {
  job: number;
  kind: number;
  chunk: number;
  /** The first of these sets within its chunk. */
  first: number;
  sets: number;
  /** New rolls threaded up: none when the last one goes on; several when each set takes a whole one. */
  rolls: number;
  beginsAt: number;
  /** Number of the step: pieces of one step are cut without a break. */
  step: number;
}

interface Trail {
  before: Trail | undefined;
  piece: Piece;
}

export interface State {
  /** Sets left per job, rolls left per kind, strips made per due. */
  left: number[];
  rolls: number[];
  made: number[];
  /** The roll on the unwind, and the sets left in each of its chunks. */
  open: { kind: number; left: number[] } | undefined;
  /** The last job; -1 before the first. */
  last: number;
  steps: number;
  clock: number;
  score: Score;
  trail: Trail | undefined;
}

/** The work together with what it costs to change from one setting of the knives to another. */
export interface Task {
  work: Work;
  /** From setting (row) to setting (column). */
  change: KnifeChange[][];
  /** To each setting from the knives as they stand now. */
  start: KnifeChange[];
  /** How much each job is to be hurried: 0 for the least urgent ones. */
  weight: number[];
  /** The jobs that give strips to each due. */
  givers: number[][];
}

/** The task when the settings have their knives at these places. */
export function taskOf(work: Work, placed: Placed[]): Task {
  const { slitter, jobs } = work;
  const knives = placed.map(({ knivesUm }) => new Set(knivesUm));
  const now = slitter.knivesAtUm && new Set<number>(slitter.knivesAtUm);
  const ranks = [...new Set(jobs.map((job) => job.urgency))].sort().reverse();
  return {
    work,
    change: knifeChanges(slitter, knives),
    start: knives.map((to) => knifeChange(slitter, now, to)),
    weight: jobs.map((job) => ranks.indexOf(job.urgency)),
    givers: giversOf(work),
  };
}

function giversOf({ dues, jobs }: Work): number[][] {
  const givers: number[][] = dues.map(() => []);
  jobs.forEach(({ gives }, j) => {
    for (const { due } of gives) givers[due].push(j);
  });
  return givers;
}

export function atTheStart({ slitter, jobs, kinds, dues }: Work): State {
  return {
    left: jobs.map((job) => job.sets),
    rolls: kinds.map((kind) => kind.count),
    made: dues.map(() => 0),
    open: undefined,
    last: -1,
    steps: 0,
    clock: slitter.busyMinutes ?? 0,
    score: NO_SCORE.slice(),
    trail: undefined,
  };
}

/** The jobs that may come next, each with the minute from which its roll is there; empty when all is cut. */
export function nextJobs(work: Work, state: State): { job: number; readyAt: number }[] {
  const { open } = state;
  const found: { job: number; readyAt: number }[] = [];
  work.jobs.forEach((job, j) => {
    if (state.left[j] === 0) return;
    if (open) {
      if (chunkFor(work, state, open.kind, open.left, job.site) >= 0) found.push({ job: j, readyAt: 0 });
      return;
    }
    const kind = rollFor(work, state, job.site);
    if (kind >= 0) found.push({ job: j, readyAt: work.kinds[kind].readyAt });
  });
  return found;
}

/** Whether this job could come next without a wait. */
export function canBegin(work: Work, state: State, j: number): boolean {
  const { site } = work.jobs[j];
  if (state.open) return chunkFor(work, state, state.open.kind, state.open.left, site) >= 0;
  const kind = rollFor(work, state, site);
  return kind >= 0 && work.kinds[kind].readyAt <= state.clock;
}

/** The state after setting up job j and cutting it as far as it goes. The job must be one of `nextJobs`. */
export function cutJob(task: Task, state: State, j: number): State {
  const next: State = {
    ...state,
    left: state.left.slice(),
    rolls: state.rolls.slice(),
    made: state.made.slice(),
    open: state.open && { ...state.open, left: state.open.left.slice() },
    score: state.score.slice(),
  };
  goOn(task, next, j);
  return next;
}

/** As `cutJob`, in place: for walks that never come back. */
export function goOn(task: Task, next: State, j: number): void {
  const { work } = task;
  const job = work.jobs[j];
  next.steps++;
  next.score[OPEN] = Math.max(next.score[OPEN], openWith(task, next, j));
  let begun = false;
  while (next.left[j] > 0) {
    const newRoll = next.open === undefined;
    if (!next.open) {
      const k = rollFor(work, next, job.site);
      if (k < 0 || (begun && work.kinds[k].readyAt > next.clock)) break;
      if (work.kinds[k].oneSetEach && !work.dated) {
        if (!begun) setUp(task, next, j, work.kinds[k].readyAt);
        begun = true;
        cutWholeRolls(work, next, j, k);
        continue;
      }
      next.rolls[k]--;
      next.open = { kind: k, left: work.kinds[k].full.slice() };
    }
    const chunk = chunkFor(work, next, next.open.kind, next.open.left, job.site);
    if (chunk < 0) break;
    if (!begun) setUp(task, next, j, work.kinds[next.open.kind].readyAt);
    begun = true;
    cutPiece(work, next, j, chunk, newRoll);
  }
  if (!begun) throw new Error('a job was begun for which there is no roll');
  next.score[HASTE] += task.weight[j] * next.clock;
}

/** Widths part-finished while job j is cut: what it gives, and what was begun before and is not yet complete. */
function openWith({ givers }: Task, { left, made }: State, j: number): number {
  let open = 0;
  for (let due = 0; due < made.length; due++) {
    for (const other of givers[due]) {
      if (other !== j && (made[due] === 0 || left[other] === 0)) continue;
      open++;
      break;
    }
  }
  return open;
}

function setUp({ change, start, work }: Task, next: State, j: number, readyAt: number): void {
  const { setting } = work.jobs[j];
  const { minutes, chargedMoves } =
    next.last < 0 ? start[setting] : change[work.jobs[next.last].setting][setting];
  next.clock = Math.max(next.clock, readyAt) + minutes;
  next.score[MONEY] += (minutes * work.slitter.costPerHour) / 60;
  next.score[MOVES] += chargedMoves;
  next.last = j;
}

/** Rolls that give one set each, and that no use-by day tells apart, one after the other. */
function cutWholeRolls(work: Work, next: State, j: number, kind: number): void {
  const job = work.jobs[j];
  const sets = Math.min(next.left[j], next.rolls[kind]);
  const { clock, steps } = next;
  const piece = { job: j, kind, chunk: 0, first: 0, sets, rolls: sets, beginsAt: clock, step: steps };
  next.trail = { before: next.trail, piece };
  countLate(work, next, job, sets);
  next.clock += sets * job.minutesPerSet;
  next.left[j] -= sets;
  next.rolls[kind] -= sets;
}

function cutPiece(work: Work, next: State, j: number, chunk: number, newRoll: boolean): void {
  const open = next.open as NonNullable<State['open']>;
  const job = work.jobs[j];
  const kind = work.kinds[open.kind];
  const sets = Math.min(next.left[j], open.left[chunk]);
  const first = kind.chunks[chunk].sets - open.left[chunk];
  const piece = {
    job: j,
    kind: open.kind,
    chunk,
    first,
    sets,
    rolls: newRoll ? 1 : 0,
    beginsAt: next.clock,
    step: next.steps,
  };
  next.trail = { before: next.trail, piece };
  countLate(work, next, job, sets);
  next.clock += sets * job.minutesPerSet;
  next.left[j] -= sets;
  open.left[chunk] -= sets;
  if (work.dated && isOverdue(work, next, kind)) next.score[OVERDUE]++;
  const goesOn = kind.chunks.some(({ site }, c) => open.left[c] > 0 && isWanted(work, next, site));
  if (!goesOn) next.open = undefined;
}

/** Whether the roll now on the unwind, the last that was taken of its kind, has been cut too late. */
function isOverdue(work: Work, { clock, rolls }: State, { source: { stock } }: RollKind): boolean {
  const last = usedOfStock(work, { rolls }, stock) - 1;
  return dayOf(work, clock) > work.useByDay(stock, last);
}

/** The pieces of a state in the order of cutting. */
export function piecesOf(state: State): Piece[] {
  const pieces: Piece[] = [];
  for (let at = state.trail; at; at = at.before) pieces.push(at.piece);
  return pieces.reverse();
}
