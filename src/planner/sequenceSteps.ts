// A slitter at work, step by step: each step sets up one job and cuts it as far as the rolls allow. A roll on the
// unwind is cut to its end before the next is threaded; a job goes on over as many rolls as it needs, but leaves the
// machine free where its next roll is not there yet. The state says what is left, what time it is, and how good that is.
import type { Placed } from './placeStrips.ts';
import { type KnifeChange, knifeChange } from './knifeChange.ts';
import { MINUTES_PER_DAY, type Job, type RollKind, type Work } from './sequenceWork.ts';

/** Smaller is better, the first difference decides: see `SCORES`. */
export type Score = number[];
export const OVERDUE = 0;
export const MONEY = 1;
export const RUSH_LATE = 2;
export const LATE = 3;
export const MOVES = 4;
export const HASTE = 5;
/**
 * Rolls cut after their use-by date; money for set-ups and lateness; late roll-days of rush orders; of all orders;
 * knife moves; and urgent work first (minutes until done, weighted by urgency).
 */
const SCORES = 6;

/** Sets of one job in a row from one roll. */
export interface Piece {
  job: number;
  kind: number;
  chunk: number;
  /** The first of these sets within its chunk. */
  first: number;
  sets: number;
  /** Threads up a new roll. */
  newRoll: boolean;
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
  /** How much each job is to be hurried: the most urgent one most. */
  weight: number[];
}

const MIDNIGHT = 1e-6;

/** The task when the settings have their knives at these places. */
export function taskOf(work: Work, placed: Placed[]): Task {
  const { slitter, jobs } = work;
  const knives = placed.map(({ knivesUm }) => new Set(knivesUm));
  const now = slitter.knivesAtUm && new Set<number>(slitter.knivesAtUm);
  const ranks = [...new Set(jobs.map((job) => job.urgency))].sort();
  return {
    work,
    change: knives.map((from) => knives.map((to) => knifeChange(slitter, from, to))),
    start: knives.map((to) => knifeChange(slitter, now, to)),
    weight: jobs.map((job) => ranks.length - ranks.indexOf(job.urgency)),
  };
}

export function atTheStart({ jobs, kinds, dues }: Work): State {
  return {
    left: jobs.map((job) => job.sets),
    rolls: kinds.map((kind) => kind.count),
    made: dues.map(() => 0),
    open: undefined,
    last: -1,
    steps: 0,
    clock: 0,
    score: new Array<number>(SCORES).fill(0),
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

/** The state after setting up job j and cutting it as far as it goes. The job must be one of `nextJobs`. */
export function cutJob(task: Task, state: State, j: number): State {
  const { work } = task;
  const job = work.jobs[j];
  const next: State = {
    ...state,
    left: state.left.slice(),
    rolls: state.rolls.slice(),
    made: state.made.slice(),
    open: state.open && { ...state.open, left: state.open.left.slice() },
    score: state.score.slice(),
    steps: state.steps + 1,
  };
  let begun = false;
  while (next.left[j] > 0) {
    const newRoll = next.open === undefined;
    if (!next.open) {
      const k = rollFor(work, next, job.site);
      if (k < 0 || (begun && work.kinds[k].readyAt > next.clock)) break;
      next.rolls[k]--;
      next.open = { kind: k, left: work.kinds[k].chunks.map((chunk) => chunk.sets) };
    }
    const chunk = chunkFor(work, next, next.open.kind, next.open.left, job.site);
    if (chunk < 0) break;
    if (!begun) setUp(task, next, j, work.kinds[next.open.kind].readyAt);
    begun = true;
    cutPiece(work, next, j, chunk, newRoll);
  }
  if (!begun) throw new Error('a job was begun for which there is no roll');
  next.score[HASTE] += task.weight[j] * next.clock;
  return next;
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

function cutPiece(work: Work, next: State, j: number, chunk: number, newRoll: boolean): void {
  const open = next.open as NonNullable<State['open']>;
  const job = work.jobs[j];
  const kind = work.kinds[open.kind];
  const sets = Math.min(next.left[j], open.left[chunk]);
  const first = kind.chunks[chunk].sets - open.left[chunk];
  const piece = { job: j, kind: open.kind, chunk, first, sets, newRoll, beginsAt: next.clock, step: next.steps };
  next.trail = { before: next.trail, piece };
  countLate(work, next, job, sets);
  next.clock += sets * job.minutesPerSet;
  next.left[j] -= sets;
  open.left[chunk] -= sets;
  const used = usedOfStock(work, next, kind) - 1;
  if (dayOf(next.clock) > work.useByDay(kind.source.stock, used)) next.score[OVERDUE]++;
  const goesOn = kind.chunks.some(({ site }, c) => open.left[c] > 0 && isWanted(work, next, site));
  if (!goesOn) next.open = undefined;
}

/** Day number of a minute; midnight still belongs to the day before. */
export const dayOf = (minute: number) => Math.floor(Math.max(0, minute - MIDNIGHT) / MINUTES_PER_DAY);

/** Each set is late by its own day: a run that goes on past a due day is split there at no cost. */
function countLate(work: Work, next: State, job: Job, sets: number): void {
  const lastDay = dayOf(next.clock + sets * job.minutesPerSet);
  for (const { due, strips } of job.gives) {
    let from = next.made[due];
    const to = from + strips * sets;
    next.made[due] = to;
    let end = 0;
    for (const share of work.dues[due].shares) {
      end += share.strips;
      if (from >= end) continue;
      const upTo = Math.min(end, to);
      if (lastDay > share.day) {
        for (let strip = from; strip < upTo; strip++) {
          const set = Math.floor((strip - (to - strips * sets)) / strips);
          const late = dayOf(next.clock + (set + 1) * job.minutesPerSet) - share.day;
          if (late > 0) addLate(work, next.score, late, share.rush);
        }
      }
      from = upTo;
      if (from >= to) break;
    }
  }
}

function addLate(work: Work, score: Score, days: number, rush: boolean): void {
  score[MONEY] += days * work.perLateRollDay;
  score[LATE] += days;
  if (rush) score[RUSH_LATE] += days;
}

function usedOfStock(work: Work, state: State, { source }: RollKind): number {
  return work.kinds.reduce(
    (sum, kind, k) => (kind.source.stock === source.stock ? sum + kind.count - state.rolls[k] : sum),
    0,
  );
}

function isWanted(work: Work, state: State, site: number): boolean {
  return work.jobs.some((job, j) => job.site === site && state.left[j] > 0);
}

/** The chunk of a roll from which a set of this site can be cut now; -1 when there is none. */
function chunkFor(work: Work, state: State, kind: number, left: number[], site: number): number {
  const { chunks } = work.kinds[kind];
  for (let c = 0; c < chunks.length; c++) {
    if (left[c] === 0) continue;
    if (chunks[c].site === site) return c;
    if (chunks[c].startsMm && isWanted(work, state, chunks[c].site)) return -1;
  }
  return -1;
}

/** The roll to thread for a set of this site: there soonest, then first to expire, then with least else on it. */
function rollFor(work: Work, state: State, site: number): number {
  let best = -1;
  let rank: number[] = [];
  work.kinds.forEach((kind, k) => {
    if (state.rolls[k] === 0) return;
    const full = kind.chunks.map((chunk) => chunk.sets);
    if (chunkFor(work, state, k, full, site) < 0) return;
    const { stock } = kind.source;
    const expires = work.useByDay(stock, usedOfStock(work, state, kind));
    const others = kind.chunks.filter((chunk) => chunk.site !== site && isWanted(work, state, chunk.site));
    const own = [Math.max(state.clock, kind.readyAt), expires, others.length];
    if (best >= 0 && !isLess(own, rank)) return;
    best = k;
    rank = own;
  });
  return best;
}

const SAME = 1e-9;

/** Whether the first list is smaller at the first place where the two differ. */
export function isLess(a: number[], b: number[]): boolean {
  for (let i = 0; i < a.length; i++) {
    if (a[i] === b[i]) continue;
    const slack = SAME * Math.max(1, Math.abs(b[i]));
    if (a[i] < b[i] - slack) return true;
    if (a[i] > b[i] + slack) return false;
  }
  return false;
}

/** The pieces of a state in the order of cutting. */
export function piecesOf(state: State): Piece[] {
  const pieces: Piece[] = [];
  for (let at = state.trail; at; at = at.before) pieces.push(at.piece);
  return pieces.reverse();
}
