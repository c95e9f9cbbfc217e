// Which roll a slitter takes next, and what of it: for the steps of sequenceSteps.ts.
import { isLess } from './sequenceScore.ts';
import type { Work } from './sequenceWork.ts';

/** What is left of the work, and what time it is. */
export interface Left {
  /** Sets left per job, rolls left per kind. */
  left: number[];
  rolls: number[];
  clock: number;
}

/** The roll to thread for a set of this site: there soonest, then first to expire, then with least else on it. */
export function rollFor(work: Work, state: Left, site: number): number {
  let best = -1;
  let rank: number[] | undefined;
  for (let k = 0; k < work.kinds.length; k++) {
    const { full, sites } = work.kinds[k];
    if (state.rolls[k] === 0 || !sites.has(site) || chunkFor(work, state, k, full, site) < 0) continue;
    if (best >= 0) {
      rank ??= rollRank(work, state, best, site);
      const own = rollRank(work, state, k, site);
      if (!isLess(own, rank)) continue;
      rank = own;
    }
    best = k;
  }
  return best;
}

function rollRank(work: Work, state: Left, k: number, site: number): number[] {
  const { source, readyAt } = work.kinds[k];
  const expires = work.dated ? work.useByDay(source.stock, usedOfStock(work, state, source.stock)) : 0;
  return [Math.max(state.clock, readyAt), expires, othersOn(work, state, k, site)];
}

/** Sites of which the roll gives sets as well that are still wanted. */
function othersOn(work: Work, state: Left, kind: number, site: number): number {
  let others = 0;
  for (const other of work.kinds[kind].sites) if (other !== site && isWanted(work, state, other)) others++;
  return others;
}

/** The chunk of a roll from which a set of this site can be cut now; -1 when there is none. */
export function chunkFor(work: Work, state: Left, kind: number, left: number[], site: number): number {
  const { chunks } = work.kinds[kind];
  for (let c = 0; c < chunks.length; c++) {
    if (left[c] === 0) continue;
    if (chunks[c].site === site) return c;
    if (chunks[c].startsMm && isWanted(work, state, chunks[c].site)) return -1;
  }
  return -1;
}

export function isWanted({ jobs }: Work, state: Left, site: number): boolean {
  for (let j = 0; j < jobs.length; j++) if (jobs[j].site === site && state.left[j] > 0) return true;
  return false;
}

export function usedOfStock(work: Work, state: Pick<Left, 'rolls'>, stock: number): number {
  let used = 0;
  for (let k = 0; k < work.kinds.length; k++) {
    if (work.kinds[k].source.stock === stock) used += work.kinds[k].count - state.rolls[k];
  }
  return used;
}
