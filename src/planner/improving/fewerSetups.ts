// Plans with fewer set-ups, from one plan: patterns combined, some of them made anew in another way so that others
// combine, from several starts; then, one pattern fewer at a time, plans that pay for it with more sets. Steps of
// search are counted, not seconds, so the same problem gives the same plans unless time ends first.
import type { Effort } from '../bounding/bounding.ts';
import { finish, type IntegerPlan } from '../building/integerPlan.ts';
import { atFirstSites, atRealSites, setsPerSite, stripsMade } from '../model/equalSites.ts';
import type { Model, Sets } from '../model/model.ts';
import { seededRandom } from '../model/seededRandom.ts';
import { combineOnce, combineSets } from './combinePatterns.ts';
import { type Combining, onSameRolls, openCombining, replaced, taskFor } from './combining.ts';
import { repeatPatterns } from './repeatPatterns.ts';
import type { Work } from './replaceSets.ts';
import { type TradeOffPoint, tradeOff } from './tradeOff.ts';

/** Steps of search for the whole of it: half a second or so. */
const USUAL_WORK = 3_000_000;
/** Share of the work that goes into the cost of the start; what is left is shared out along the curve. */
const AT_SAME_COST = 0.5;
const AT_EACH_POINT = 0.3;
const MOST_RENEWED = 6;
/** Renewals without gain after which a start is given up, per pattern. */
const PATIENCE = 60;
/** Renewals after which all pairs and triples are tried again. */
const COMBINE_EVERY = 4;
const TOLERANCES = [0.02, 0.1, 0.3, 1];
const MOST_EXTRA = 64;

interface Search {
  model: Model;
  effort: Effort;
  work: Work;
  random: () => number;
  known: Combining['known'];
}

/**
 * The trade-off curve from these plans on: cheapest first, each with fewer patterns than the one before; none falls
 * shorter than the first of them. Every plan is whole: sets, rolls and cost.
 */
export function fewerSetups(
  model: Model,
  starts: IntegerPlan[],
  effort: Effort,
  work = USUAL_WORK,
): TradeOffPoint[] {
  const search: Search = { model, effort, work: { steps: work }, random: seededRandom(20), known: new Map() };
  const able = starts.filter((plan) => isNoShorter(plan, starts[0]));
  const found = able.slice();
  for (const [s, plan] of able.entries()) {
    found.push(renewed(search, plan, work * (1 - (AT_SAME_COST * (s + 1)) / able.length)));
  }
  let [last] = tradeOff(model, found).slice(-1);
  while (goesOn(search, 0)) {
    const next = onePatternFewer(search, last.plan);
    if (!next || !isNoShorter(next, starts[0])) break;
    found.push(next, renewed(search, next, (1 - AT_EACH_POINT) * search.work.steps));
    const [lower] = tradeOff(model, found).slice(-1);
    if (lower.patterns >= last.patterns) break;
    last = lower;
  }
  return tradeOff(model, found);
}

const goesOn = ({ work, effort }: Search, until: number) =>
  work.steps > until && (effort.control?.secondsLeft() ?? 1) > 0;

const isNoShorter = (plan: IntegerPlan, than: IntegerPlan) => plan.short.every((n, d) => n <= than.short[d]);

const combiningFor = ({ model, work, known }: Search, plan: IntegerPlan): Combining => ({
  ...openCombining(model, plan, work),
  known,
});

/**
 * Combines; then makes a few patterns anew, in fewer or as many, and combines again, until no more comes of it or the
 * steps of work have run down to `until`.
 */
function renewed(search: Search, plan: IntegerPlan, until: number): IntegerPlan {
  const combining = combiningFor(search, plan);
  let best = combineSets(combining, atFirstSites(combining.first, plan.sets));
  let current = best;
  let inVain = 0;
  for (let i = 1; goesOn(search, until) && inVain < PATIENCE * best.length; i++) {
    inVain++;
    current = renewSome(combining, current, search.random) ?? current;
    if (i % COMBINE_EVERY === 0) current = combineSets(combining, current, search.random);
    if (current.length < best.length) {
      inVain = 0;
      best = current = combineSets(combining, current, search.random);
    }
  }
  return onFewerRolls(search, plan, onSameRolls(combining, plan, best));
}

/** The plan with its rolls laid out afresh where it has slots to spare, if that is cheaper. */
function onFewerRolls({ model, effort }: Search, before: IntegerPlan, plan: IntegerPlan): IntegerPlan {
  const [slots, used] = [setsPerSite(model, before.sets), setsPerSite(model, plan.sets)];
  const spare = model.sites.some((site, s) => site.wholeRollOf === undefined && used[s] < slots[s]);
  const packed = spare ? finish(model, plan.sets, effort) : undefined;
  return packed && packed.cost < plan.cost ? packed : plan;
}

/** Two to six patterns of one site made anew by repeating, in fewer or else in as many; undefined when that fails. */
function renewSome(combining: Combining, sets: Sets, random: () => number): Sets | undefined {
  combining.work.steps -= 50;
  const chosen = chooseSome(combining, sets, random);
  if (chosen.length < 2) return undefined;
  const task = taskFor(combining, sets, stripsMade(combining.model, sets), chosen, 0);
  const tolerance = TOLERANCES[Math.floor(TOLERANCES.length * random())];
  const options = { random, tolerance, work: combining.work };
  const found =
    repeatPatterns(task, chosen.length - 1, options) ?? repeatPatterns(task, chosen.length, options);
  return (
    found &&
    replaced(
      sets,
      chosen.map((i) => sets[i]),
      found,
    )
  );
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
function onePatternFewer(search: Search, plan: IntegerPlan): IntegerPlan | undefined {
  const { model, effort } = search;
  const combining = combiningFor(search, plan);
  const sets = atFirstSites(combining.first, plan.sets);
  const slots = setsPerSite(model, plan.sets);
  for (let extra = 1; extra <= MOST_EXTRA; extra = Math.ceil(extra * 1.5)) {
    const fewer = combineOnce(combining, sets, extra);
    const real = fewer && atRealSites(model, combining.first, combineSets(combining, fewer), slots);
    if (real) return finish(model, real, effort);
  }
  return undefined;
}
