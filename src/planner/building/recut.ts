// Some runs of a plan taken out and what they made cut in another way, over and over: the quickest way to a good plan
// where set-ups count. What is missing is filled by a short search (refill.ts) over runs that lose little
// (recutPool.ts); a plan that is a little dearer is followed too, less and less (ruin and recreate: Schrimpf et al.,
// Journal of Computational Physics 159, 2000). Film is estimated on the way (filmTaken.ts), the best plans are laid out.
// Steps are counted, not seconds, so the same problem gives the same plan unless time ends first.
import type { PlanControl } from '../../domain/plan.ts';
import type { Effort } from '../bounding/bounding.ts';
import type { Worth } from '../bounding/master.ts';
import { patternKey } from '../model/columns.ts';
import type { Model, Pattern } from '../model/model.ts';
import { seededRandom } from '../model/seededRandom.ts';
import { setupsCount } from '../model/setups.ts';
import { needsCap } from '../planRows/demandNotExceeded.ts';
import { type FilmTaken, openFilm } from './filmTaken.ts';
import { finish, type IntegerPlan, rollsUsed } from './integerPlan.ts';
import { openRecutPool, type RecutPool } from './recutPool.ts';
import { fillUp, type Refill, type Run, refill } from './refill.ts';

/** Rounds of recutting, each with chances of its own. */
export interface Recutting {
  /** Plans cheaper than the one given, or any at all, at most a few; none when none are found. */
  once(plan: IntegerPlan | undefined): IntegerPlan[];
  goesOn(): boolean;
}

interface RecutTask {
  /** Sets that may be cut. */
  all: Pattern[];
  /** What everything is worth where set-ups are shared out. */
  worth: Worth;
  mostPatterns: number;
  mostSets: number;
  steps: number;
  seed: number;
  /** Filled up from nothing first. */
  afresh: boolean;
  /** Sites at which nothing is cut, so that rolls are tried that the plan passes over. */
  shut: number | undefined;
}

/** Steps of work, some millions a second: in the first round, in each later one; and how many of these. */
const FIRST_STEPS = 1_000_000;
const STEPS = 4_000_000;
const MOST_ROUNDS = 12;

/** Sets searched at most, in turns: few are searched more often. */
const MOST_SETS = [3_000, 6_000, 1_500];
/** Runs taken out at a time. */
const FEWEST_OUT = 2;
const MOST_OUT = 4;
/** How much dearer a plan is followed at first, in set-ups. */
const WARMTH = 0.2;
/** How much more than the runs taken out those put in may lose before they are estimated, in set-ups. */
const DEARER = 1;
/** Changes in vain, and for each run, after which it is given up. */
const PATIENCE = 300;
const PATIENCE_PER_RUN = 60;
/** What a pattern beyond the limit is charged, as a share of what all strips are worth. */
const BEYOND_LIMIT = 0.1;
/** Plans laid out at the end, the cheapest by estimate. */
const LAID_OUT = 3;
/** Ways to fill up from nothing, the cheapest of which is recut; and which rounds begin so. */
const STARTS = 6;
const AFRESH_EVERY = 2;
const SAME = 1e-6;

interface Estimated {
  runs: Run[];
  cost: number;
}

/** undefined where set-ups cost nothing. */
export function openRecutting(
  model: Model,
  all: Pattern[],
  { withSetups, mostPatterns }: { withSetups: { worth: Worth }; mostPatterns: number },
  control: PlanControl | undefined,
): Recutting | undefined {
  if (!setupsCount(model)) return undefined;
  let seed = 0;
  let turns = 0;
  return {
    once(plan) {
      const afresh = !plan || (seed > 0 && seed % AFRESH_EVERY === 0);
      const [mostSets, steps] = [MOST_SETS[seed % MOST_SETS.length], seed === 0 ? FIRST_STEPS : STEPS];
      seed++;
      const used = plan && afresh ? sitesOf(plan) : [];
      const shut = used.length > 1 ? used[turns++ % used.length] : undefined;
      const open = shut === undefined ? all : all.filter(({ site }) => site !== shut);
      const task = { all: open, mostSets, worth: withSetups.worth, mostPatterns, steps, seed, afresh, shut };
      return recut(model, plan, task, { setups: true, enough: -Infinity, control });
    },
    goesOn: () => seed < MOST_ROUNDS,
  };
}

function recut(model: Model, plan: IntegerPlan | undefined, task: RecutTask, effort: Effort): IntegerPlan[] {
  const search = openSearch(model, plan, task);
  const setup = Math.max(0, ...search.pool.setup);
  const own = plan && !task.afresh ? runsOf(search.pool, plan) : fillUpBest(search);
  if (!own?.length) return [];
  const found: Estimated[] = [{ runs: own, cost: search.costOf(own) }];
  let [current] = found;
  let inVain = 0;
  const goesOn = () => search.work.steps > 0 && inVain < PATIENCE + PATIENCE_PER_RUN * own.length;
  while (goesOn() && (effort.control?.secondsLeft() ?? 1) > 0) {
    search.work.steps -= 50;
    inVain++;
    const next = changed(search, current, DEARER * setup);
    if (!next) continue;
    const warmth = WARMTH * setup * (search.work.steps / task.steps) ** 2;
    if (next.cost <= current.cost - warmth * Math.log(search.random())) current = next;
    if (next.cost >= found[found.length - 1].cost - SAME) continue;
    found.push(next);
    inVain = 0;
  }
  const cheapest = found.slice(task.afresh ? 0 : 1).slice(-LAID_OUT);
  return laidOut(model, search.pool, plan?.cost ?? Infinity, cheapest.reverse(), effort);
}

/** Where the plan cuts least comes first: it is the easiest to do without. */
function sitesOf({ sets }: IntegerPlan): number[] {
  const times = new Map<number, number>();
  for (const { pattern, times: n } of sets) times.set(pattern.site, (times.get(pattern.site) ?? 0) + n);
  return [...times.keys()].sort((a, b) => (times.get(a) as number) - (times.get(b) as number) || a - b);
}

/** The cheapest of a few ways to fill up from nothing. */
function fillUpBest(search: Refill): Run[] | undefined {
  let best: Estimated | undefined;
  for (let start = 0; start < STARTS; start++) {
    const runs = fillUp(search);
    const cost = runs ? search.costOf(runs) : Infinity;
    if (runs && (!best || cost < best.cost)) best = { runs, cost };
  }
  return best?.runs;
}

function openSearch(model: Model, plan: IntegerPlan | undefined, task: RecutTask): Refill {
  const own = (plan?.sets ?? []).map(({ pattern }) => pattern).filter(({ site }) => site !== task.shut);
  const missed = plan?.short ?? model.demands.map(() => 0);
  const pool = openRecutPool(model, task.all, own, task.worth, task.mostSets);
  const film = openFilm(model);
  const short = missed.reduce((sum, n, d) => sum + n * model.demands[d].shortCostPerRoll, 0);
  const about = model.demands.reduce((sum, { min }, d) => sum + min * task.worth.strip[d], 0);
  const beyond = BEYOND_LIMIT * Math.abs(about);
  return {
    ...{ pool, film, sites: model.sites.length },
    strip: Float64Array.from(task.worth.strip),
    least: Int32Array.from(model.demands, ({ min }, d) => min - missed[d]),
    most: Float64Array.from(model.demands, ({ max }, d) => (needsCap(model, d) ? max : Infinity)),
    random: seededRandom(task.seed),
    work: { steps: task.steps },
    costOf(runs) {
      const settings = new Set(runs.map(({ p }) => pool.knives[p])).size;
      const excess = Math.max(0, settings - task.mostPatterns);
      return short + costOf(pool, film, model.sites.length, runs) + (excess > 0 ? excess * beyond : 0);
    },
  };
}

function runsOf(pool: RecutPool, { sets }: IntegerPlan): Run[] {
  const index = new Map(pool.patterns.map((pattern, p) => [patternKey(pattern), p]));
  return sets.map(({ pattern, times }) => ({ p: index.get(patternKey(pattern)) as number, times }));
}

function costOf(pool: RecutPool, film: FilmTaken, sites: number, runs: Run[]): number {
  const sets = new Array<number>(sites).fill(0);
  const knives = new Set<number>();
  let cost = 0;
  for (const { p, times } of runs) {
    sets[pool.site[p]] += times;
    cost += times * pool.cost[p];
    knives.add(pool.knives[p]);
  }
  for (const setting of knives) cost += pool.setup[setting];
  return cost + film.cost(sets);
}

/** The plan with some of its runs cut in another way; undefined when no way is found. */
function changed(search: Refill, { runs }: Estimated, dearer: number): Estimated | undefined {
  const out = chosen(search, runs);
  const kept = runs.filter((run) => !out.includes(run));
  const filled = refill(search, kept, out, dearer);
  return filled && { runs: filled, cost: search.costOf(filled) };
}

/** A few runs: one at random, the others rather such as share a demand with it. */
function chosen({ pool, random }: Refill, runs: Run[]): Run[] {
  const size = FEWEST_OUT + Math.floor(random() * (MOST_OUT - FEWEST_OUT + 1));
  const first = runs[Math.floor(random() * runs.length)];
  const own = demandsOf(pool, first.p);
  const rank = runs.map((run) => {
    const shares = demandsOf(pool, run.p).some((d) => own.includes(d));
    return { run, by: run === first ? -1 : random() - (shares ? 0.5 : 0) };
  });
  rank.sort((a, b) => a.by - b.by);
  return rank.slice(0, size).map(({ run }) => run);
}

const demandsOf = ({ from, demand }: RecutPool, p: number) => demand.subarray(from[p], from[p + 1]);

/** Those that cost less, until one costs no more than the next is estimated. */
function laidOut(
  model: Model,
  { patterns }: RecutPool,
  below: number,
  cheapestFirst: Estimated[],
  effort: Effort,
): IntegerPlan[] {
  const plans: IntegerPlan[] = [];
  for (const { runs, cost } of cheapestFirst) {
    if (cost >= below || plans.some((plan) => plan.cost <= cost + SAME)) break;
    const sets = runs.map(({ p, times }) => ({ pattern: patterns[p], times }));
    const plan = finish(model, sets, effort);
    if (plan && plan.cost < below - SAME && isInStock(model, plan)) plans.push(plan);
  }
  return plans;
}

function isInStock(model: Model, { sets, layouts }: IntegerPlan): boolean {
  return rollsUsed(model, sets, layouts).every((n, s) => n <= model.stock[s].count);
}
