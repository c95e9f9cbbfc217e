// An offer of a range of widths may be fifty stock items of which a plan uses two or three. Where there are many, most
// begin shut: the relaxation runs over the others, then the shut widths are priced at its duals, those that gain are
// opened, and so on until none gains. Those duals prove the bound for all widths, open and shut (dualBound.ts).
import type { PlanControl } from '../../domain/plan.ts';
import { wholeRollCost } from '../model/columns.ts';
import type { Model, Source } from '../model/model.ts';
import { itemsOf } from '../model/offers.ts';
import { everything } from '../model/remaining.ts';
import { sitesInUse, sitesOf } from '../model/siteSources.ts';
import { type Relaxation, relax } from './bounding.ts';
import { priceLayout } from './layoutPricing.ts';
import type { Worth } from './master.ts';
import { pricePatterns } from './pricing.ts';
import { price } from './pricingRound.ts';

export interface Opened {
  /** The model with only the open widths in stock. */
  model: Model;
  root: Relaxation;
  /** The model with all of them, when some are shut; the bound of the root holds for it. */
  all: Model | undefined;
}

const FEW = 24;
const NODES = 60_000;
const OPENED_TOGETHER = 3;
const GAIN = 1e-7;

/**
 * Relaxes the problem, all offered widths of it. Where the bound reaches `enough`, the cost of a plan in hand, the
 * relaxation stops. `few`: up to so many offered widths all are open from the start.
 */
export function openWidths(model: Model, control: PlanControl, enough = Infinity, few = FEW): Opened {
  const offered = model.stock.flatMap((item, s) => (item.bought ? [s] : []));
  const shut = offered.length > few ? new Set(narrower(model)) : new Set<number>();
  const effort = { setups: false, enough, toTheEnd: model.costStep > 0, control };
  let pool: Relaxation['columns'] = [];
  for (;;) {
    const open = withShut(model, shut);
    const root = relax(open, everything(open), pool, effort);
    if (shut.size === 0) return { model: open, root, all: undefined };
    const gaining = control.secondsLeft() > 0 ? gainers(model, root, shut) : [];
    if (gaining.length === 0) {
      const bound = boundOfAll(model, open, root.worth);
      return { model: open, root: { ...root, bound: Math.min(root.bound, bound) }, all: model };
    }
    for (const s of gaining) shut.delete(s);
    pool = root.columns.filter((_, j) => root.values[j] > 0);
  }
}

/**
 * The bound that worths found with the open widths prove for all widths, of the offers that are not ruled out. Rows of
 * shut sites are empty, so their duals mean nothing: a set there is worth what its strips are.
 */
export function boundOfAll(all: Model, open: Model, worth: Worth): number {
  const { offers } = open;
  const isRuledOut = (s: number) =>
    offers.some(({ taken }, o) => taken === false && all.stock[s].bought?.offer === o);
  const stock = all.stock.map((item, s) => (isRuledOut(s) ? { ...item, count: 0 } : item));
  const model = { ...all, offers, stock };
  const inUse = sitesInUse(open, everything(open));
  const known = (list: number[]) => list.map((value, site) => (inUse[site] ? value : 0));
  const depth = { setups: false, nodes: NODES, keep: 1, others: 0 };
  const atAll = { ...worth, set: known(worth.set), slot: known(worth.slot) };
  return price(model, everything(model), atAll, depth).bound;
}

/** All but the widest width of each offer. */
function narrower(model: Model): number[] {
  return model.offers.flatMap((_, o) =>
    itemsOf(model, o)
      .sort((a, b) => b.item.widthUm - a.item.widthUm)
      .slice(1)
      .map(({ s }) => s),
  );
}

const withShut = (model: Model, shut: Set<number>): Model => {
  return { ...model, stock: model.stock.map((item, s) => (shut.has(s) ? { ...item, count: 0 } : item)) };
};

/** The shut widths of which a roll gains most at these worths, a few of each offer. */
function gainers(model: Model, { worth }: Relaxation, shut: Set<number>): number[] {
  const gains = new Map<number, number>();
  for (const source of model.sources) {
    if (!shut.has(source.stock)) continue;
    const gain = gainOf(model, source, worth.strip);
    if (gain > GAIN * source.charge(source.lengthMm))
      gains.set(source.stock, Math.max(gain, gains.get(source.stock) ?? 0));
  }
  const best = [...gains].sort((a, b) => b[1] - a[1] || a[0] - b[0]);
  return model.offers.flatMap((_, o) =>
    best
      .filter(([s]) => model.stock[s].bought?.offer === o)
      .slice(0, OPENED_TOGETHER)
      .map(([s]) => s),
  );
}

/** What the best use of one roll is worth beyond its cost, at these worths per strip. */
function gainOf(model: Model, source: Source, strip: number[]): number {
  const slot = new Float64Array(model.sites.length);
  let whole = -Infinity;
  for (const index of sitesOf(source)) {
    const site = model.sites[index];
    const values = site.demands.map((d, k) => strip[d] - site.costPerStrip[k]);
    const most = site.demands.map((d) => model.demands[d].max);
    const { upperBound } = pricePatterns(site, { values, most, above: 0, keep: 1, nodes: NODES });
    slot[index] = upperBound - site.costPerSet;
    if (site.wholeRollOf !== undefined) whole = Math.max(whole, slot[index] - wholeRollCost(model, index));
  }
  return whole > -Infinity ? whole : priceLayout(model, source, slot).gain;
}
