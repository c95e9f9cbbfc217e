// The order of the jobs on one slitter. Up to 12 jobs: every order, by dynamic programming over what is left to cut
// (Held & Karp, J. SIAM 10(1), 1962), where of two ways to the same state the one that is later and no better is
// dropped, and states that cannot beat the best order found so far are not pursued. Beyond: local search (orderMoves.ts).
// Work is bounded in steps, never in time: the same work always gives the same order.
import { nearestSetting, shortestChain } from './knifeTour.ts';
import { descend } from './orderMoves.ts';
import { HASTE, isLess, MONEY, MOVES, type Score } from './sequenceScore.ts';
import {
  atTheStart,
  canBegin,
  cutJob,
  goOn,
  nextJobs,
  piecesOf,
  type State,
  type Task,
} from './sequenceSteps.ts';
import type { Work } from './sequenceWork.ts';

const EXACT_JOBS = 12;
const EXACT_STEPS = 60_000;
const LOCAL_STEPS = 10_000;
/** Where the order costs nothing. */
const IDLE_STEPS = 600;
/** Orders on one slitter, each with its due day, for which the steps above are meant. */
const USUAL_SHARES = 60;
const CHAIN_STEPS = 1_000_000;
const IDLE_CHAIN_STEPS = 5_000;

export interface Sequence {
  /** Everything cut. */
  end: State;
  /** No order of the jobs is better, for knives that stand where the task says. */
  exact: boolean;
}

/** Whether the order of the jobs can cost money at all. */
export function costsAnything({ slitter, perLateRollDay }: Work): boolean {
  return slitter.costPerHour > 0 || perLateRollDay > 0;
}

/** Whether any day can be missed. */
function hasDays({ dated, dues }: Work): boolean {
  return dated || dues.some(({ shares }) => shares.some(({ day }) => day < Infinity));
}

/** A good order, found quickly, from the given one if there is one. */
export function goodOrder(task: Task, known?: number[]): State {
  const { work } = task;
  const { order } = bestStart(task, known);
  const steps = costsAnything(work) ? LOCAL_STEPS : IDLE_STEPS;
  return descend(order, (other) => follow(task, other), steps / burden(work)).end;
}

/** The best of the orders to begin a search with. */
export function bestStart(task: Task, known?: number[]): { order: number[]; end: State } {
  const { work } = task;
  const idle = !costsAnything(work);
  const near = idle && !hasDays(work) ? nearestSetting(task) : nearest(task);
  const starts = [byUrgency(task), near, ...(known ? [known] : [])];
  if (work.jobs.length > EXACT_JOBS)
    starts.push(shortestChain(task, near, idle ? IDLE_CHAIN_STEPS : CHAIN_STEPS));
  const [first, ...others] = starts.map((order) => ({ order, end: follow(task, order) }));
  return others.reduce((a, b) => (isLess(b.end.score, a.end.score) ? b : a), first);
}

/** How much longer than usual it takes to follow an order: due days of very many orders are counted one by one. */
function burden({ dues }: Work): number {
  const shares = dues.reduce((sum, due) => sum + due.shares.length, 0);
  return Math.max(1, shares / USUAL_SHARES);
}

/** The best order where that can be told with bounded work, otherwise the good one. */
export function bestSequence(task: Task, good: State): Sequence {
  if (task.work.jobs.length > EXACT_JOBS) return { end: good, exact: false };
  const found = everyOrder(task, good);
  return { end: found.end ?? good, exact: found.complete };
}

/** The jobs of a finished state in the order in which they were begun. */
export function orderOf(end: State): number[] {
  return [...new Set(piecesOf(end).map((piece) => piece.job))];
}

/** Cuts everything, at each choice the first job of the order whose roll is there; when none is there, the soonest. */
export function follow(task: Task, order: number[]): State {
  const state = atTheStart(task.work);
  for (let at = 0; ; ) {
    while (at < order.length && state.left[order[at]] === 0) at++;
    if (at === order.length) return state;
    goOn(task, state, canBegin(task.work, state, order[at]) ? order[at] : soonest(task, state, order));
  }
}

/** The job whose roll is there soonest, of equals the first of the order. */
function soonest({ work }: Task, state: State, order: number[]): number {
  const rank = new Map(order.map((j, at) => [j, at]));
  let [first, ...others] = nextJobs(work, state);
  if (!first) throw new Error('sets were planned for which there is no roll');
  const waitOf = (readyAt: number) => Math.max(0, readyAt - state.clock);
  const rankOf = (job: number) => rank.get(job) as number;
  for (const other of others) {
    const wait = waitOf(other.readyAt) - waitOf(first.readyAt);
    if (wait < 0 || (wait === 0 && rankOf(other.job) < rankOf(first.job))) first = other;
  }
  return first.job;
}

function finished(state: State): State {
  if (state.left.some((sets) => sets > 0)) throw new Error('sets were planned for which there is no roll');
  return state;
}

function byUrgency({ work: { jobs } }: Task): number[] {
  const key = (j: number) => jobs[j].urgency;
  return jobs.map((_, j) => j).sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0) || a - b);
}

/** Always the job that costs least next. */
function nearest(task: Task): number[] {
  let state = atTheStart(task.work);
  for (;;) {
    const [first, ...others] = nextJobs(task.work, state).map(({ job }) => cutJob(task, state, job));
    if (!first) return orderOf(finished(state));
    state = others.reduce((best, other) => (isLess(nearness(other), nearness(best)) ? other : best), first);
  }
}

/** Next to be hurried is the least done per minute, so haste is left to the search. */
const nearness = ({ score }: State): Score => score.slice(0, HASTE);

function everyOrder(task: Task, good: State): { end: State | undefined; complete: boolean } {
  const least = leastToReach(task);
  let best = good.score;
  let end: State | undefined;
  let level = new Map([['', [atTheStart(task.work)]]]);
  let steps = 0;
  while (level.size > 0) {
    const next = new Map<string, State[]>();
    for (const state of [...level.values()].flat()) {
      const choices = nextJobs(task.work, state);
      if (choices.length === 0 && isLess(finished(state).score, best)) {
        best = state.score;
        end = state;
      }
      for (const { job } of choices) {
        if (++steps > EXACT_STEPS) return { end, complete: false };
        const after = cutJob(task, state, job);
        if (isLess(atLeast(task, after, least), best)) keepIfGood(next, after);
      }
    }
    level = next;
  }
  return { end, complete: true };
}

/** For each setting the least money and moves with which it is ever reached. */
function leastToReach({ change, start, work }: Task): { money: number; moves: number }[] {
  const perMinute = work.slitter.costPerHour / 60;
  return start.map((fromNow, s) => {
    const ways = [fromNow, ...change.flatMap((row, from) => (from === s ? [] : [row[s]]))];
    return {
      money: Math.min(...ways.map((way) => way.minutes)) * perMinute,
      moves: Math.min(...ways.map((way) => way.chargedMoves)),
    };
  });
}

/** The score that no way of finishing from here can undercut: every setting still to come is reached at its least. */
function atLeast({ work, weight }: Task, state: State, least: { money: number; moves: number }[]): Score {
  const score = state.score.slice();
  work.jobs.forEach((job, j) => {
    if (state.left[j] > 0) score[HASTE] += weight[j] * (state.clock + state.left[j] * job.minutesPerSet);
  });
  const ahead = new Set(work.jobs.flatMap((job, j) => (state.left[j] > 0 ? [job.setting] : [])));
  ahead.delete(work.jobs[state.last].setting);
  for (const s of ahead) {
    score[MONEY] += least[s].money;
    score[MOVES] += least[s].moves;
  }
  return score;
}

function keepIfGood(states: Map<string, State[]>, state: State): void {
  const key = `${state.last}|${state.left}|${state.rolls}|${state.open?.kind}|${state.open?.left}`;
  const known = states.get(key) ?? [];
  const noLater = (a: State, b: State) => a.clock <= b.clock && !isLess(b.score, a.score);
  if (known.some((other) => noLater(other, state))) return;
  states.set(key, [...known.filter((other) => !noLater(state, other)), state]);
}
