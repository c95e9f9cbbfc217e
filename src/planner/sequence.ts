// The order of the jobs on one slitter. Up to 12 jobs: every order, by dynamic programming over what is left to cut
// (Held & Karp, J. SIAM 10(1), 1962), where of two ways to the same state the one that is later and no better is
// dropped, and states that cannot beat the best order found so far are not pursued. Beyond: local search by moving and
// reversing stretches of the order (2-opt and or-opt; Or, PhD thesis, Northwestern University, 1976).
// Work is bounded in steps, never in time: the same work always gives the same order.
import { HASTE, isLess, MONEY, MOVES, type Score } from './sequenceScore.ts';
import { atTheStart, cutJob, goOn, nextJobs, piecesOf, type State, type Task } from './sequenceSteps.ts';
import type { Work } from './sequenceWork.ts';

const EXACT_JOBS = 12;
const EXACT_STEPS = 60_000;
const LOCAL_STEPS = 10_000;
/** Where the order costs nothing. */
const IDLE_STEPS = 3_000;
/** Orders on one slitter, each with its due day, for which the steps above are meant. */
const USUAL_SHARES = 60;
const CHAIN_STEPS = 1_000_000;
const IDLE_CHAIN_STEPS = 100_000;

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
  const idle = !costsAnything(work);
  const near = idle && !hasDays(work) ? work.jobs.map((_, j) => j) : nearest(task);
  const starts = [byUrgency(task), near, ...(known ? [known] : [])];
  if (work.jobs.length > EXACT_JOBS)
    starts.push(shortestChain(task, near, idle ? IDLE_CHAIN_STEPS : CHAIN_STEPS));
  const [first, ...others] = starts.map((order) => ({ order, end: follow(task, order) }));
  const best = others.reduce((a, b) => (isLess(b.end.score, a.end.score) ? b : a), first);
  const steps = idle ? IDLE_STEPS : LOCAL_STEPS;
  return descend(best.order, (order) => follow(task, order), steps / burden(work)).end;
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
  const rank = order.map(() => 0);
  order.forEach((j, at) => {
    rank[j] = at;
  });
  const state = atTheStart(task.work);
  for (;;) {
    const choices = nextJobs(task.work, state);
    if (choices.length === 0) return finished(state);
    let [first] = choices;
    for (const other of choices) {
      const wait = Math.max(0, other.readyAt - state.clock) - Math.max(0, first.readyAt - state.clock);
      if (wait < 0 || (wait === 0 && rank[other.job] < rank[first.job])) first = other;
    }
    goOn(task, state, first.job);
  }
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

/** The order with the shortest way of the knives, dates and rolls left aside: where much is to be cut, a good beginning. */
function shortestChain(task: Task, from: number[], steps: number): number[] {
  const { change, start, work } = task;
  const settings = work.jobs.map((job) => job.setting);
  const wayOf = (order: number[]): Score => {
    let { minutes, chargedMoves } = start[settings[order[0]]];
    for (let at = 1; at < order.length; at++) {
      const step = change[settings[order[at - 1]]][settings[order[at]]];
      minutes += step.minutes;
      chargedMoves += step.chargedMoves;
    }
    return [minutes, chargedMoves];
  };
  return descend(from, (order) => ({ score: wayOf(order) }), steps).order;
}

/** Tries one move after another, round and round, until none of them helps or the steps are used up. */
function descend<End extends { score: Score }>(
  from: number[],
  endOf: (order: number[]) => End,
  steps: number,
): { order: number[]; end: End } {
  let best = { order: from, end: endOf(from) };
  let left = Math.floor(steps / from.length);
  for (let better = true; better; ) {
    better = false;
    for (const move of movesOf(from.length)) {
      if (left-- <= 0) return best;
      const order = moved(best.order, move);
      const end = endOf(order);
      if (!isLess(end.score, best.end.score)) continue;
      best = { order, end };
      better = true;
    }
  }
  return best;
}

/** So many jobs from a place on: put elsewhere, or (`to` undefined) turned round. */
interface Move {
  from: number;
  length: number;
  to: number | undefined;
}

/** One to three jobs in a row moved elsewhere, near places first, then every stretch turned round, short ones first. */
function* movesOf(n: number): Generator<Move> {
  for (let far = 1; far < n; far++) {
    for (let from = 0; from < n; from++) {
      for (const to of [from - far, from + far]) {
        for (let length = 1; length <= 3 && Math.max(from, to) + length <= n; length++) {
          if (to >= 0) yield { from, length, to };
        }
      }
    }
  }
  for (let length = 3; length <= n; length++) {
    for (let from = 0; from + length <= n; from++) yield { from, length, to: undefined };
  }
}

function moved(order: number[], { from, length, to }: Move): number[] {
  const part = order.slice(from, from + length);
  if (to === undefined) return order.toSpliced(from, length, ...part.reverse());
  return order.toSpliced(from, length).toSpliced(to, 0, ...part);
}

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
