// The order of the jobs on one slitter. Up to 12 jobs: every order, by dynamic programming over what is left to cut
// (Held & Karp, J. SIAM 10(1), 1962), where of two ways to the same state the one that is later and no better is
// dropped, and states that cannot beat the best order found so far are not pursued. Beyond: local search by moving and
// reversing stretches of the order (2-opt and or-opt; Or, PhD thesis, Northwestern University, 1976).
// Work is bounded in steps, never in time: the same work always gives the same order.
import { HASTE, isLess, MONEY, MOVES, type Score } from './sequenceScore.ts';
import { atTheStart, cutJob, goOn, nextJobs, piecesOf, type State, type Task } from './sequenceSteps.ts';

export const EXACT_JOBS = 12;
const EXACT_STEPS = 200_000;
const LOCAL_STEPS = 10_000;

export interface Sequence {
  /** Everything cut. */
  end: State;
  /** No order of the jobs is better, for knives that stand where the task says. */
  exact: boolean;
}

/** A good order, found quickly, from the given one if there is one. */
export function goodOrder(task: Task, known?: number[]): State {
  const starts = [byUrgency(task), nearest(task), ...(known ? [known] : [])];
  let best: { order: number[]; end: State } | undefined;
  for (const order of starts) {
    const end = follow(task, order);
    if (!best || isLess(end.score, best.end.score)) best = { order, end };
  }
  return improved(task, best as { order: number[]; end: State });
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
    const waits = (readyAt: number) => Math.max(0, readyAt - state.clock);
    const first = choices.reduce((a, b) =>
      (waits(b.readyAt) - waits(a.readyAt) || rank[b.job] - rank[a.job]) < 0 ? b : a,
    );
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

function improved(task: Task, from: { order: number[]; end: State }): State {
  let best = from;
  let steps = LOCAL_STEPS;
  for (let better = true; better && steps > 0; ) {
    better = false;
    for (const order of neighbours(best.order)) {
      if (steps <= 0) break;
      const end = follow(task, order);
      steps -= order.length;
      if (!isLess(end.score, best.end.score)) continue;
      best = { order, end };
      better = true;
      break;
    }
  }
  return best.end;
}

/** Up to three jobs in a row moved elsewhere, then every stretch reversed. */
function* neighbours(order: number[]): Generator<number[]> {
  const n = order.length;
  for (let length = 1; length <= Math.min(3, n - 1); length++) {
    for (let from = 0; from + length <= n; from++) {
      const rest = order.toSpliced(from, length);
      for (let to = 0; to <= rest.length; to++) {
        if (to !== from) yield rest.toSpliced(to, 0, ...order.slice(from, from + length));
      }
    }
  }
  for (let from = 0; from < n - 1; from++) {
    for (let to = from + 2; to <= n; to++) {
      yield [...order.slice(0, from), ...order.slice(from, to).reverse(), ...order.slice(to)];
    }
  }
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
