// Orders of jobs that look at the way of the knives alone, dates and rolls left aside: beginnings for a search.
import { descend } from './orderMoves.ts';
import type { Score } from './sequenceScore.ts';
import type { Task } from './sequenceSteps.ts';

/** Always the job whose knives take least to set next. */
export function nearestSetting({ change, start, work: { jobs } }: Task): number[] {
  const left = jobs.map((_, j) => j);
  const order: number[] = [];
  for (let ways = start; left.length > 0; ) {
    let next = 0;
    for (let at = 1; at < left.length; at++) {
      const [own, best] = [ways[jobs[left[at]].setting], ways[jobs[left[next]].setting]];
      if (own.minutes < best.minutes || (own.minutes === best.minutes && own.moves < best.moves)) next = at;
    }
    const [j] = left.splice(next, 1);
    order.push(j);
    ways = change[jobs[j].setting];
  }
  return order;
}

/** The order with the shortest way of the knives, dates and rolls left aside: where much is to be cut, a good beginning. */
export function shortestChain(task: Task, from: number[], steps: number): number[] {
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
