// What film and settings of the knives cost together at least. A plan is settings, each cut so often: together they give
// every demand, and no setting counts for more of a demand than is wanted (Vanderbeck, Operations Research 48, 2000,
// counts patterns by how often they are cut). The price of a set is split in two: a part is left to the film, whose
// relaxation proves its own bound, the other pays, with the set-ups, for settings. Settings have room for the strips of
// all their sets side by side, what a set does not want being slit out as waste, so limits of one set do not count.
import type { PlanControl } from '../../domain/plan.ts';
import type { Model, Site } from '../model/model.ts';
import { everything } from '../model/remaining.ts';
import { setupCost, standingKnives } from '../model/setups.ts';
import { leastTrim } from '../patternRules/edgeTrim.ts';
import { openLp } from '../solvers/lp.ts';
import { relax } from './bounding.ts';
import { pricePatterns } from './pricing.ts';

/** Parts of a set's price that are tried for the settings. */
const PARTS = [0.5, 0.8, 0.95];
const MOST_DEMANDS = 60;
const ROUNDS = 200;
const NODES = 20_000;
const TINY = 1e-7;

/** A proven bound on the cost of any plan; -Infinity where it is not reckoned. */
export function settingsBound(model: Model, control: PlanControl): number {
  if (model.costStep > 0 || model.demands.length > MOST_DEMANDS) return -Infinity;
  const slitters = slittersOf(model).map((slitter) => ({ ...slitter, price: leastPrice(model, slitter) }));
  let best = -Infinity;
  for (const part of PARTS) {
    if (control.secondsLeft() <= 0) break;
    const priced = slitters.map((slitter) => ({ ...slitter, perSet: part * slitter.price }));
    const strip = worthInSettings(model, priced, control);
    const paid = model.demands.reduce((sum, { min }, d) => sum + min * strip[d], 0);
    const effort = { setups: false, enough: Infinity, control };
    const film = relax(less(model, priced, strip), everything(model), [], effort);
    best = Math.max(best, film.bound + paid - standingKnives(model));
  }
  return best;
}

interface SlitterSettings {
  id: string;
  sites: Site[];
  usableUm: number;
  setup: number;
}

interface Priced extends SlitterSettings {
  /** What a set pays for its setting. */
  perSet: number;
}

function slittersOf(model: Model): SlitterSettings[] {
  const ids = [...new Set(model.sites.map(({ place }) => place.slitter.id))];
  return ids.map((id) => {
    const sites = model.sites.filter(({ place }) => place.slitter.id === id);
    return { id, sites, usableUm: usableBySetting(sites), setup: setupCost(sites[0]) };
  });
}

/** What strips of all sets cut with one setting have room in, the widest web between the least trims of any. */
export function usableBySetting(sites: Site[]): number {
  const trims = sites.map(({ place }) => leastTrim(place));
  const [left, right] = [trims.map((trim) => trim.left), trims.map((trim) => trim.right)];
  return Math.max(...sites.map(({ place }) => place.widthUm)) - Math.min(...left) - Math.min(...right);
}

/** What a set at any site of the slitter costs at least, film and all; no more than it adds to any roll. */
function leastPrice(model: Model, { sites }: SlitterSettings): number {
  const prices = model.sources.flatMap(({ paths: { edges, positionsMm }, charge }) =>
    edges
      .filter(({ site }) => sites.some(({ index }) => index === site))
      .map(({ from, to, site }) => {
        const { costPerSet, wholeRollOf } = model.sites[site];
        const before = wholeRollOf === undefined ? charge(positionsMm[from]) : 0;
        return costPerSet + charge(positionsMm[to]) - before;
      }),
  );
  return Math.max(
    0,
    prices.reduce((least, price) => Math.min(least, price), Infinity),
  );
}

/** The model with that much less to pay for a set, and for a roll that falls short. */
function less(model: Model, priced: Priced[], strip: number[]): Model {
  const perSet = new Map(priced.map((slitter) => [slitter.id, slitter.perSet]));
  return {
    ...model,
    costStep: 0,
    sites: model.sites.map((site) => ({
      ...site,
      costPerSet: site.costPerSet - (perSet.get(site.place.slitter.id) as number),
    })),
    demands: model.demands.map((demand, d) => ({
      ...demand,
      shortCostPerRoll: demand.shortCostPerRoll - strip[d],
    })),
  };
}

/** Worths of strips at which no setting, cut however often, gives more than it costs. */
function worthInSettings(model: Model, priced: Priced[], control: PlanControl): number[] {
  const wanted = model.demands.map((_, d) => d).filter((d) => model.demands[d].min > 0);
  const lp = openLp(wanted.map((d) => ({ sense: '>=', rhs: model.demands[d].min })));
  for (const [row, d] of wanted.entries()) lp.addColumn(model.demands[d].shortCostPerRoll, [[row, 1]]);
  let best = { total: -1, strip: model.demands.map(() => 0) };
  for (let round = 0; round < ROUNDS && control.secondsLeft() > 0; round++) {
    const { y, objective } = lp.solve();
    const strip = model.demands.map(() => 0);
    wanted.forEach((d, row) => {
      strip[d] = Math.max(0, y[row]);
    });
    const found = priced.flatMap((slitter) => runsOf(model, slitter, strip));
    const ratio = Math.max(1, ...found.map(({ ratio }) => ratio));
    const total = wanted.reduce((sum, d) => sum + (model.demands[d].min * strip[d]) / ratio, 0);
    if (total > best.total) best = { total, strip: strip.map((worth) => worth / ratio) };
    const better = found.filter((run) => run.made && run.value > run.cost * (1 + TINY));
    if (better.length === 0 || best.total >= objective * (1 - 1e-5)) break;
    for (const { made, cost } of better)
      lp.addColumn(
        cost,
        wanted.flatMap((d, row): [number, number][] => (made?.[d] ? [[row, made[d]]] : [])),
      );
  }
  return best.strip;
}

interface SettingRun {
  cost: number;
  /** Worth of what it makes; and an upper bound of that, for all settings cut so often, over the cost. */
  value: number;
  ratio: number;
  /** Strips of each demand that count. */
  made: number[] | undefined;
}

/** For each number of times the setting that gives most. */
function runsOf(model: Model, slitter: Priced, strip: number[]): SettingRun[] {
  const mine = new Set(slitter.sites.flatMap(({ demands }) => demands));
  const demands = [...mine].filter((d) => strip[d] > 0);
  const most = Math.max(0, ...widthsOf(model, demands).map(({ rolls }) => rolls));
  return Array.from({ length: most }, (_, i) => bestRun(model, slitter, strip, demands, i + 1));
}

function bestRun(
  model: Model,
  { sites, usableUm, setup, perSet }: Priced,
  strip: number[],
  demands: number[],
  times: number,
): SettingRun {
  const cost = setup + perSet * times;
  const { slitter } = sites[0].place;
  const steps = widthsOf(model, demands).flatMap(({ same }) => stepsOf(model, same, strip, times));
  const widths = slitter.maxDistinctWidths + slitter.maxWasteStrips;
  const site: Site = {
    ...sites[0],
    web: [{ fromUm: 0, toUm: usableUm }] as Site['web'],
    trimSlackUm: usableUm,
    budgets: [
      { limit: slitter.maxStrips, eachStrip: 1, eachWidth: 0, eachWaste: 0 },
      { limit: widths, eachStrip: 0, eachWidth: 1, eachWaste: 0 },
    ].filter(({ limit }) => limit < Infinity),
    widthsUm: steps.map(({ widthUm }) => widthUm),
  };
  const { patterns, upperBound } = pricePatterns(site, {
    values: steps.map(({ value }) => value),
    most: steps.map(({ strips }) => strips),
    ...{ above: 0, keep: 1, nodes: NODES },
  });
  const ratio = cost > 0 ? upperBound / cost : upperBound > TINY ? Infinity : 0;
  if (patterns.length === 0) return { cost, value: 0, ratio, made: undefined };
  const made = model.demands.map(() => 0);
  patterns[0].counts.forEach((n, k) => {
    for (const [d, rolls] of steps[k].made) made[d] += n * rolls;
  });
  return { cost, value: patterns[0].value, ratio, made };
}

/** Demands by width: one strip gives rolls of all of them, in one set or another. */
function widthsOf(model: Model, demands: number[]): { same: number[]; rolls: number }[] {
  const widths = new Set(demands.map((d) => model.demands[d].widthUm));
  return [...widths].map((width) => {
    const same = demands.filter((d) => model.demands[d].widthUm === width);
    return { same, rolls: same.reduce((sum, d) => sum + model.demands[d].min, 0) };
  });
}

interface Step {
  widthUm: number;
  /** So many strips alike. */
  strips: number;
  /** What one of them makes in all sets together, and what that is worth. */
  made: [demand: number, rolls: number][];
  value: number;
}

/** Strips of one width in the order of what each next one adds: in every set it gives a roll of what is worth most. */
function stepsOf(model: Model, demands: number[], strip: number[], times: number): Step[] {
  const wanted = demands.map((d) => ({ d, left: model.demands[d].min }));
  wanted.sort((a, b) => strip[b.d] - strip[a.d]);
  const { widthUm } = model.demands[demands[0]];
  const steps: Step[] = [];
  for (let first = wanted.find(({ left }) => left > 0); first; first = wanted.find(({ left }) => left > 0)) {
    const strips = Math.max(1, Math.floor(first.left / times));
    const made: Step['made'] = [];
    for (let room = times; room > 0; ) {
      const next = wanted.find(({ left }) => left > 0);
      if (!next) break;
      const rolls = Math.min(room, next.left);
      made.push([next.d, rolls]);
      next.left -= rolls * strips;
      room -= rolls;
    }
    steps.push({ widthUm, strips, made, value: made.reduce((sum, [d, n]) => sum + n * strip[d], 0) });
  }
  return steps;
}
