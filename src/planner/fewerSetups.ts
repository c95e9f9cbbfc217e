// Plans with fewer set-ups, from one plan: patterns combined, some of them made anew in another way so that others
// combine, from several starts; then, one pattern fewer at a time, plans that pay for it with more sets. Steps of
// search are counted, not seconds, so the same problem gives the same plans unless time ends first.
import { type Effort, type Relaxation, roundUp } from './bounding.ts';
import {
  type Combining,
  combineOnce,
  combineSets,
  onSameRolls,
  openCombining,
  replaced,
  taskFor,
} from './combinePatterns.ts';
import { atFirstSites, atRealSites, type Sets, setsPerSite, stripsMade } from './equalSites.ts';
import { dive, finish, type IntegerPlan } from './integerPlan.ts';
import type { Model } from './model.ts';
import { repeatPatterns } from './repeatPatterns.ts';
import { seededRandom } from './seededRandom.ts';
import { type TradeOffPoint, tradeOff } from './tradeOff.ts';

/** Steps of search for the whole of it: half a second or so. */
export const USUAL_WORK = 3_000_000;
const DIVES = 3;
const NUDGE = 0.7;
const MOST_RENEWED = 6;
const MOST_EXTRA = 64;

/** The trade-off curve from this plan on: cheapest first, each with fewer patterns than the one before. */
export function fewerSetups(
  model: Model,
  root: Relaxation,
  start: IntegerPlan,
  effort: Effort,
  work = USUAL_WORK,
): TradeOffPoint[] {
  const random = seededRandom(20);
  const shared = { steps: work };
  const known: Combining['known'] = new Map();
  const open = (plan: IntegerPlan) => ({ ...openCombining(model, plan, shared), known });
  const goOn = () => shared.steps > 0 && (effort.control?.secondsLeft() ?? 1) > 0;
  let points = tradeOff(model, [start]);
  const offer = (plan: IntegerPlan | undefined) => {
    if (plan && isNoShorter(plan, start)) points = tradeOff(model, [...points.map((p) => p.plan), plan]);
  };
  const starts = [start, ...divesFrom(model, root, start, effort)];
  starts.forEach((plan, s) => {
    const share = (work * (s + 1)) / (starts.length + 1);
    const within = () => goOn() && work - shared.steps < share;
    const combining = open(plan);
    offer(plan);
    const own = renewed(combining, plan, random, within);
    offer(onSameRolls(combining, plan, own));
  });
  for (let last = points.at(-1); last && goOn(); ) {
    const next = onePatternFewer(open(last.plan), last.plan, effort);
    if (!next) break;
    offer(next);
    last = tradeOff(model, [next])[0];
  }
  return points;
}

const isNoShorter = (plan: IntegerPlan, than: IntegerPlan) => plan.short.every((n, d) => n <= than.short[d]);

/** Other plans from nudged roundings; only those that fall no shorter. */
function divesFrom(model: Model, root: Relaxation, start: IntegerPlan, effort: Effort): IntegerPlan[] {
  const random = seededRandom(7);
  const enough = roundUp(model, root.bound);
  const plans: IntegerPlan[] = [];
  for (let i = 0; i < DIVES && (effort.control?.secondsLeft() ?? 1) > 0; i++) {
    const { best } = dive(model, root, { ...effort, enough }, { nudge: () => NUDGE * random() });
    if (best && isNoShorter(best, start)) plans.push(best);
  }
  return plans;
}

/** Combines; then makes a few patterns anew in as many or fewer, and combines again, as long as it may go on. */
function renewed(combining: Combining, plan: IntegerPlan, random: () => number, goOn: () => boolean): Sets {
  let current = combineSets(combining, atFirstSites(combining.first, plan.sets));
  let best = current;
  while (goOn()) {
    const next = renewSome(combining, current, random);
    if (!next) continue;
    current = combineSets(combining, next, random);
    if (current.length <= best.length) best = current;
    else current = best;
  }
  return best;
}

/** Two to six patterns of one site made anew by repeating; undefined when that fails or needs more patterns. */
function renewSome(combining: Combining, sets: Sets, random: () => number): Sets | undefined {
  combining.work.steps -= 20;
  const chosen = chooseSome(combining, sets, random);
  if (chosen.length < 2) return undefined;
  const task = taskFor(combining, sets, stripsMade(combining.model, sets), chosen, 0);
  const tolerance = [0.02, 0.1, 0.3, 1][Math.floor(4 * random())];
  const found = repeatPatterns(task, chosen.length, { random, tolerance, work: combining.work });
  return found && replaced(sets, chosen, found);
}

function chooseSome({ model }: Combining, sets: Sets, random: () => number): number[] {
  const { site } = sets[Math.floor(random() * sets.length)].pattern;
  if (model.sites[site].web.length > 1) return [];
  const own = sets.map((_, i) => i).filter((i) => sets[i].pattern.site === site);
  const size = 2 + Math.floor(random() * (MOST_RENEWED - 1));
  const drawn = own.map((i) => ({ i, by: random() })).sort((a, b) => a.by - b.by);
  return drawn.slice(0, size).map(({ i }) => i);
}

/** The plan with one pattern fewer for as few more sets as it takes, rolls laid out afresh. */
function onePatternFewer(combining: Combining, plan: IntegerPlan, effort: Effort): IntegerPlan | undefined {
  const { model, first } = combining;
  const sets = atFirstSites(first, plan.sets);
  for (let extra = 1; extra <= MOST_EXTRA; extra = Math.ceil(extra * 1.5)) {
    const fewer = combineOnce(combining, sets, extra);
    const real =
      fewer && atRealSites(model, first, combineSets(combining, fewer), setsPerSite(model, plan.sets));
    if (real) return finish(model, real, effort);
  }
  return undefined;
}
