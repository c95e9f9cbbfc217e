// The order in which rolls are threaded and sets are cut, slitter by slitter: the order of the jobs and the places of
// the knives are settled in turns, since each depends on the other; rolls then get their names in the order in which
// they are threaded, so that of equal rolls the first to expire goes first.
import type { Problem } from '../../domain/problem.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import type { Model } from '../model/model.ts';
import { firstNumbers } from '../model/offers.ts';
import { keptPlacing } from '../model/setups.ts';
import { followKnives, settleKnives } from './knifeChain.ts';
import { type Placed, placeLike, placeStrips } from './placeStrips.ts';
import type { Cut } from './runs.ts';
import { bestSequence, bestStart, costsAnything, goodOrder, orderOf } from './sequence.ts';
import { isLess } from './sequenceScore.ts';
import { type Piece, piecesOf, type State, taskOf } from './sequenceSteps.ts';
import { type Work, workOf } from './sequenceWork.ts';

/** The work of a slitter in order, its knives placed by setting. */
export interface Settled {
  work: Work;
  end: State;
  placed: Placed[];
}

const ROUNDS = 3;
const SWEEPS = 4;
/** With more settings than this, to follow the knives takes too long. */
const MOST_FOLLOWED = 40;

/** Every set of the plan in the order of cutting, one slitter after the other. */
export function threadRolls(problem: Problem, model: Model, plan: IntegerPlan): Cut[] {
  const settled = workOf(problem, model, plan).map((work) => settle(model, work));
  const names = nameRolls(model, settled, plan.bought);
  return settled.flatMap((slitter, s) => cutsOf(model, slitter, names[s]));
}

/**
 * Order of jobs and places of knives, each for the other in turns, from two beginnings: the strips as they lie by
 * themselves, and each set's strips following the knives of the one before.
 */
export function settle(model: Model, work: Work): Settled {
  const placed = work.settings.map((pattern) => keptPlacing(model, pattern) ?? placeStrips(model, pattern));
  const task = taskOf(work, placed);
  if (!costsAnything(work)) return inTurns(model, work, { placed, end: bestStart(task).end });
  const begun = { placed, end: goodOrder(task) };
  const plain = inTurns(model, work, begun);
  if (work.settings.length > MOST_FOLLOWED || work.settings.length < 3) return plain;
  const { chain, placed: followed } = followKnives(model, work, chainOf(work, begun.end)[0], placed);
  const order = work.jobs.map((_, j) => j).sort((a, b) => placeIn(chain, work, a) - placeIn(chain, work, b));
  const end = goodOrder(taskOf(work, followed), order);
  const other = inTurns(model, work, { placed: followed, end });
  return isLess(other.end.score, plain.end.score) ? other : plain;
}

const placeIn = (chain: number[], work: Work, j: number) => chain.indexOf(work.jobs[j].setting);

function inTurns(model: Model, work: Work, begun: Omit<Settled, 'work'>): Settled {
  let { placed, end } = begun;
  const costs = costsAnything(work);
  const rounds = costs ? ROUNDS : 1;
  const sweeps = costs || work.settings.length <= MOST_FOLLOWED ? SWEEPS : 1;
  for (let round = 0; round < rounds; round++) {
    const moved = settleKnives(model, work, chainOf(work, end), placed, sweeps);
    const task = taskOf(work, moved);
    const good = goodOrder(task, orderOf(end));
    const ordered = costs ? bestSequence(task, good).end : good;
    if (round > 0 && !isLess(ordered.score, end.score)) break;
    placed = moved;
    end = ordered;
  }
  return { work, end, placed };
}

/** The settings in the order in which the slitter goes through them. */
function chainOf(work: Work, end: State): number[] {
  const settings = piecesOf(end).map((piece) => work.jobs[piece.job].setting);
  return settings.filter((setting, at) => setting !== settings[at - 1]);
}

/** Names of the rolls of each slitter in the order of threading; those threaded first take the first to expire. */
function nameRolls(model: Model, settled: Settled[], bought: number[]): string[][] {
  const taken = firstNumbers(model, bought);
  const names: string[][] = settled.map(() => []);
  const threaded = settled.flatMap(({ work, end }, s) =>
    piecesOf(end).flatMap(({ job, kind, rolls, beginsAt }) => {
      const { stock } = work.kinds[kind].source;
      const { minutesPerSet } = work.jobs[job];
      return Array.from({ length: rolls }, (_, k) => ({ s, stock, beginsAt: beginsAt + k * minutesPerSet }));
    }),
  );
  for (const { s, stock } of threaded.sort((a, b) => a.beginsAt - b.beginsAt || a.s - b.s)) {
    names[s].push(model.stock[stock].nameOf(taken[stock]++));
  }
  return names;
}

function cutsOf(model: Model, { work, end, placed }: Settled, names: string[]): Cut[] {
  const ownPlaced = work.jobs.map(({ pattern, setting }) => placeLike(model, pattern, placed[setting]));
  const cuts: Cut[] = [];
  let roll = -1;
  let at = 0;
  let before: Piece | undefined;
  for (const piece of piecesOf(end)) {
    const { pattern, site } = work.jobs[piece.job];
    const { source, chunks, coatedMm = 0 } = work.kinds[piece.kind];
    for (let k = 0; k < piece.sets; k++) {
      if (k < piece.rolls) {
        roll++;
        at = source.startMm;
      }
      const { startsMm, cutOutsMm, splices } = chunks[piece.chunk];
      const startMm = startsMm?.[piece.first + k] ?? at;
      const cutOutMm = cutOutsMm?.[piece.first + k] ?? 0;
      at = startMm + model.sites[site].place.lengthMm + source.slitter.tailMm + cutOutMm;
      cuts.push({
        pattern,
        placed: ownPlaced[piece.job],
        source,
        roll: names[roll],
        startMm,
        endMm: at,
        cutOutMm,
        splices: splices?.[piece.first + k] ?? 0,
        usedToMm: Math.max(at, coatedMm),
        beginsRun: k === 0 && before?.step !== piece.step,
      });
    }
    before = piece;
  }
  return cuts;
}
