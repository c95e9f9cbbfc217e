// Runs for what a plan misses, as few and as cheap as a short search finds: the missing strip that is worth most is
// served next, by each of the few runs that lose least for what they serve.
import type { Work } from '../improving/replaceSets.ts';
import type { FilmTaken } from './filmTaken.ts';
import { lossOf, type RecutPool } from './recutPool.ts';

/** So many sets of a pool's pattern. */
export interface Run {
  p: number;
  times: number;
}

export interface Refill {
  pool: RecutPool;
  film: FilmTaken;
  /** How many sites there are. */
  sites: number;
  /** Worth of a strip of each demand. */
  strip: Float64Array;
  /** Strips of each demand that must be made, and that may be. */
  least: Int32Array;
  most: Float64Array;
  /** Estimated cost of a plan with these runs. */
  costOf(runs: Run[]): number;
  random: () => number;
  work: Work;
}

interface Choice extends Run {
  setup: number;
  loss: number;
  rank: number;
}

interface Filling extends Refill {
  /** Strips still missed, and still allowed, of each demand. */
  need: Int32Array;
  room: Float64Array;
  /** Sets cut at each site. */
  sets: Int32Array;
  /** Runs that use each setting of the knives. */
  used: Map<number, number>;
  kept: Run[];
  runs: Run[];
  /** A set that is not to be used. */
  avoided: number;
  mostLoss: number;
  nodes: number;
  best: Run[] | undefined;
  bestCost: number;
}

const WIDTH = 4;
const NODES = 15;
/** Share of the sets that are passed over each time, by chance: the search differs, and is quicker. */
const PASSED_OVER = 0.7;
/** Not of so few. */
const FEW = 30;
/** How much the rank of a run is shaken. */
const SHAKEN = 0.5;
/** Smaller losses, as parts of what is served, do not count in the rank. */
const LEAST_LOSS = 0.002;

/**
 * The kept runs with others instead of those taken out, the cheapest of a few ways: at most one setting of the knives
 * more, and losing at most so much more. undefined when there is none. One of those taken out is not used again.
 */
export function refill(search: Refill, kept: Run[], out: Run[], dearer: number): Run[] | undefined {
  const filling = opened(search, kept);
  filling.avoided = out[Math.floor(search.random() * out.length)].p;
  filling.mostLoss = lossTogether(filling, out) + dearer;
  descend(filling, out.length + 1, 0);
  return filling.best;
}

/** Runs for everything, always the one that loses least for what it serves; undefined where film or sets are lacking. */
export function fillUp(search: Refill): Run[] | undefined {
  const filling = opened(search, []);
  for (let d = mostMissed(filling); d >= 0; d = mostMissed(filling)) {
    const [choice] = choicesFor(filling, d, Infinity, 0);
    if (!choice) return undefined;
    add(filling, choice, 1);
    filling.runs.push({ p: choice.p, times: choice.times });
  }
  return lean(search, joined(filling.runs));
}

function opened(search: Refill, kept: Run[]): Filling {
  const { least, most, sites } = search;
  const filling: Filling = {
    ...{ ...search, need: least.slice(), room: most.slice(), sets: new Int32Array(sites), used: new Map() },
    ...{ kept, runs: [], best: undefined, bestCost: Infinity, nodes: NODES, mostLoss: Infinity },
    avoided: -1,
  };
  for (const run of kept) add(filling, run, 1);
  return filling;
}

/** What these runs lose one after the other. */
function lossTogether(filling: Filling, runs: Run[]): number {
  let loss = 0;
  for (const run of runs) {
    loss += lossOf(filling.pool, filling.strip, filling.need, run.p, run.times, setupHere(filling, run.p));
    add(filling, run, 1);
  }
  for (const run of runs) add(filling, run, -1);
  return loss;
}

function setupHere({ pool, used }: Filling, p: number): number {
  return (used.get(pool.knives[p]) ?? 0) > 0 ? 0 : pool.setup[pool.knives[p]];
}

function add({ pool, need, room, sets, used }: Filling, { p, times }: Run, sign: number): void {
  sets[pool.site[p]] += sign * times;
  for (let e = pool.from[p]; e < pool.from[p + 1]; e++) {
    need[pool.demand[e]] -= sign * pool.count[e] * times;
    room[pool.demand[e]] -= sign * pool.count[e] * times;
  }
  used.set(pool.knives[p], (used.get(pool.knives[p]) ?? 0) + sign);
}

function descend(filling: Filling, settingsLeft: number, loss: number): void {
  if (--filling.nodes < 0) return;
  const d = mostMissed(filling);
  if (d < 0) {
    consider(filling);
    return;
  }
  for (const { p, times, setup, loss: own } of choicesFor(filling, d, settingsLeft, loss)) {
    const run = { p, times };
    add(filling, run, 1);
    filling.runs.push(run);
    descend(filling, setup > 0 ? settingsLeft - 1 : settingsLeft, loss + own);
    filling.runs.pop();
    add(filling, run, -1);
  }
}

function consider(filling: Filling): void {
  const runs = lean(filling, joined([...filling.kept, ...filling.runs]));
  const cost = filling.costOf(runs);
  if (cost >= filling.bestCost) return;
  filling.bestCost = cost;
  filling.best = runs;
}

/** The demand of which what is missed is worth most; -1 when nothing is missed. */
function mostMissed({ need, strip }: Filling): number {
  let most = -1;
  let worth = -1;
  for (let d = 0; d < need.length; d++) {
    if (need[d] <= 0 || need[d] * strip[d] <= worth) continue;
    worth = need[d] * strip[d];
    most = d;
  }
  return most;
}

/** The few runs with strips of this demand that lose least for what they serve of all that is missed. */
function choicesFor(filling: Filling, d: number, settingsLeft: number, loss: number): Choice[] {
  const { pool } = filling;
  const best: Choice[] = [];
  const below = filling.mostLoss - loss;
  const missed = worthMissed(filling);
  const large = pool.holding[d].length > FEW;
  for (const p of pool.holding[d]) {
    if (pool.least[p] >= below) break;
    const setup = setupHere(filling, p);
    if (filling.avoided >= 0 && large && filling.random() < PASSED_OVER) continue;
    if (p === filling.avoided || pool.least[p] + setup >= below || (settingsLeft === 0 && setup > 0))
      continue;
    // the last setting of the knives must serve all, as far as there is film
    const enough = settingsLeft > 1 || setup === 0 ? 0 : missed * (1 - 1e-6);
    considerRuns(filling, { demand: d, p, setup, below, enough }, best);
  }
  return best;
}

function worthMissed({ need, strip }: Filling): number {
  let missed = 0;
  for (let d = 0; d < need.length; d++) if (need[d] > 0) missed += need[d] * strip[d];
  return missed;
}

interface Considered {
  demand: number;
  p: number;
  setup: number;
  below: number;
  /** Worth that must be served. */
  enough: number;
}

/** The set so often that the demand, or the first of its demands, is met or just not; kept among the best. */
function considerRuns(
  { pool, need, strip, random, work, ...filling }: Filling,
  { demand, p, setup, below, enough }: Considered,
  best: Choice[],
): void {
  const most = mostTimes({ pool, ...filling }, p);
  let [first, ofOne] = [Infinity, 1];
  for (let e = pool.from[p]; e < pool.from[p + 1]; e++) {
    const up = Math.ceil(need[pool.demand[e]] / pool.count[e]);
    if (up > 0 && up < first) first = up;
    if (pool.demand[e] === demand) ofOne = up;
  }
  const met = [first - 1, first, ofOne];
  for (let i = ofOne === first ? 1 : 2; i >= 0; i--) {
    const times = Math.min(most, met[i]);
    if (times < 1) continue;
    work.steps -= pool.from[p + 1] - pool.from[p];
    const loss = lossOf(pool, strip, need, p, times, setup);
    if (loss >= below) continue;
    const served = times * pool.priced[p] + setup - loss;
    if (served <= 0 || (served < enough && times < most)) continue;
    const rank = (Math.max(loss, LEAST_LOSS * served) / served) * (1 + SHAKEN * random());
    insert(best, { p, times, setup, loss, rank });
  }
}

/** No more sets than film, and what may be made, leave room for. */
function mostTimes(
  { pool, room, film, sets }: Pick<Filling, 'pool' | 'room' | 'film' | 'sets'>,
  p: number,
): number {
  let most = film.roomFor(pool.site[p], sets);
  for (let e = pool.from[p]; e < pool.from[p + 1]; e++)
    most = Math.min(most, Math.floor(room[pool.demand[e]] / pool.count[e]));
  return most;
}

function insert(best: Choice[], choice: Choice): void {
  if (best.length === WIDTH && best[WIDTH - 1].rank <= choice.rank) return;
  let at = best.length;
  while (at > 0 && best[at - 1].rank > choice.rank) at--;
  best.splice(at, 0, choice);
  if (best.length > WIDTH) best.pop();
}

function joined(runs: Run[]): Run[] {
  const times = new Map<number, number>();
  for (const run of runs) times.set(run.p, (times.get(run.p) ?? 0) + run.times);
  return [...times].map(([p, n]) => ({ p, times: n }));
}

/** Each run cut no more often than it is needed for; those that earn money stay as they are. */
function lean({ least, pool: { from, demand, count, cost } }: Refill, runs: Run[]): Run[] {
  const over = Int32Array.from(least, (n) => -n);
  for (const { p, times } of runs)
    for (let e = from[p]; e < from[p + 1]; e++) over[demand[e]] += count[e] * times;
  const needed = runs.map(({ p, times }) => {
    let spare = cost[p] < 0 ? 0 : times;
    for (let e = from[p]; e < from[p + 1]; e++)
      spare = Math.min(spare, Math.floor(Math.max(0, over[demand[e]]) / count[e]));
    for (let e = from[p]; e < from[p + 1]; e++) over[demand[e]] -= spare * count[e];
    return { p, times: times - spare };
  });
  return needed.filter(({ times }) => times > 0);
}
