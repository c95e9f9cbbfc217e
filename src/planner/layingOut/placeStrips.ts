// Where the strips of a set lie on the web. Left to themselves: in groups of equal width, narrow ones away from the
// edges, the left trim as small as the edges allow, what the trims cannot take slit out as a waste strip. Given where
// knives are wanted (those of the runs before and after): order of strips, trims and waste strip so that most of them
// stand there. Positions are um from the left datum edge.
import type { Model, Pattern, Site } from '../model/model.ts';
import type { Lane as Stretch } from '../model/webLanes.ts';
import { bestOrder, type KnifeWorth, type StripKind } from './knifeOrder.ts';

/** One lane of a set; `demand` is -1 for a waste strip. */
export interface Lane {
  fromUm: number;
  toUm: number;
  demand: number;
}

export interface Placed {
  /** Left to right without a gap, from trim to trim. */
  lanes: Lane[];
  /** Every knife, in order. */
  knivesUm: number[];
}

/** What knives at certain positions are worth; anywhere else they are worth nothing. */
export type WantedKnives = ReadonlyMap<number, number>;

interface Strip {
  fromUm: number;
  toUm: number;
  waste: boolean;
}

const NOWHERE: WantedKnives = new Map();
const MOST_TRIALS = 30;

/** The lanes of this set; knives stand at the wanted positions as far as one order of strips allows. */
export function placeStrips(model: Model, pattern: Pattern, wanted: WantedKnives = NOWHERE): Placed {
  const site = model.sites[pattern.site];
  const widths = widthsOf(site, pattern.counts);
  const strips =
    site.web.length > 1
      ? fillGaps(site, besideBadLanes(site, widths, wanted))
      : acrossWholeWeb(site, widths, wanted);
  return withDemands(site, pattern, strips);
}

/** The lanes of a set that has the same strips as one already placed, on the same web: its knives stand alike. */
export function placeLike(model: Model, pattern: Pattern, placed: Placed): Placed {
  const strips = placed.lanes.map(({ fromUm, toUm, demand }) => ({ fromUm, toUm, waste: demand < 0 }));
  return withDemands(model.sites[pattern.site], pattern, strips);
}

/** Strips by width: the second widest first and the widest last, so that narrow ones come to lie between them. */
function widthsOf(site: Site, counts: number[]): StripKind[] {
  const byWidth = new Map<number, number>();
  counts.forEach((n, k) => {
    if (n > 0) byWidth.set(site.widthsUm[k], (byWidth.get(site.widthsUm[k]) ?? 0) + n);
  });
  const [widest, ...others] = [...byWidth].sort((a, b) => b[0] - a[0]);
  return [...others, widest].map(([widthUm, n]) => ({ widthUm, n }));
}

/** Strips of one width go to its demands from left to right, in the order of the site's list. */
function withDemands(site: Site, { counts }: Pattern, lanes: Strip[]): Placed {
  const left = counts.slice();
  const owned = lanes.map(({ fromUm, toUm, waste }) => {
    if (waste) return { fromUm, toUm, demand: -1 };
    const k = left.findIndex((n, i) => n > 0 && site.widthsUm[i] === toUm - fromUm);
    left[k]--;
    return { fromUm, toUm, demand: site.demands[k] };
  });
  return { lanes: owned, knivesUm: [owned[0].fromUm, ...owned.map((lane) => lane.toUm)] };
}

const worthAt =
  (wanted: WantedKnives): KnifeWorth =>
  (at) =>
    wanted.get(at) ?? 0;

function acrossWholeWeb(site: Site, widths: StripKind[], wanted: WantedKnives): Strip[] {
  let best: { strips: Strip[]; worth: number } | undefined;
  for (const { leftUm, wasteUm } of trimsToTry(site, widths, wanted)) {
    const kinds = wasteUm > 0 ? [...widths, { widthUm: wasteUm, n: 1 }] : widths;
    const found = bestOrder(kinds, leftUm, worthAt(wanted));
    const worth = found.worth + (wanted.get(leftUm) ?? 0);
    if (!best || worth > best.worth)
      best = { strips: stripsFrom(kinds, found.order, leftUm, widths.length), worth };
  }
  return (best as { strips: Strip[] }).strips;
}

/** Strips from `fromUm` on; those of a kind from `wasteFrom` on are waste. */
function stripsFrom(kinds: StripKind[], order: number[], fromUm: number, wasteFrom = kinds.length): Strip[] {
  let at = fromUm;
  return order.map((k) => {
    const strip = { fromUm: at, toUm: at + kinds[k].widthUm, waste: k >= wasteFrom };
    at = strip.toUm;
    return strip;
  });
}

/** Left ends of the strips and widths of the waste strip (0: none), those that need no wish first. */
function trimsToTry(site: Site, widths: StripKind[], wanted: WantedKnives) {
  const [{ fromUm, toUm }] = site.web;
  const { slitter, widthUm } = site.place;
  const used = widths.reduce((sum, { widthUm: width, n }) => sum + n * width, 0);
  const rest = toUm - fromUm - used;
  const leastEnd = Math.min(toUm, Math.max(widthUm - slitter.edgeTrimMaxUm.right, 0));
  const mostLeft = Math.min(slitter.edgeTrimMaxUm.left, fromUm + rest);
  const needsWaste = rest > site.trimSlackUm;
  const usualLeft = needsWaste ? fromUm : Math.max(fromUm, leastEnd - used);
  const marks = [...wanted.keys()];
  const lefts = [
    usualLeft,
    ...marks,
    ...marks.map((mark) => mark - used),
    ...widths.flatMap((strip) => marks.map((mark) => mark - strip.widthUm)),
  ].filter((left) => left >= fromUm && left <= mostLeft);
  const ends = [leastEnd, toUm, ...marks.filter((mark) => mark > leastEnd && mark < toUm)];
  const trials = [...new Set(lefts)].flatMap((leftUm) => {
    if (!needsWaste) return leftUm + used >= leastEnd ? [{ leftUm, wasteUm: 0 }] : [];
    return [...new Set(ends)]
      .map((end) => ({ leftUm, wasteUm: end - leftUm - used }))
      .filter(({ wasteUm }) => wasteUm > 0);
  });
  return trials.slice(0, MOST_TRIALS);
}

/** Strips share out over the free stretches; the first lies against its left end, the last against its right end. */
function besideBadLanes(site: Site, widths: StripKind[], wanted: WantedKnives): Strip[] {
  const inOrder = [...widths].sort((a, b) => b.widthUm - a.widthUm);
  const list = inOrder.flatMap(({ widthUm, n }) => new Array<number>(n).fill(widthUm));
  const room = site.web.map((stretch) => stretch.toUm - stretch.fromUm);
  const where = shareOut(list, room, 0, []);
  if (!where) throw new Error('a set was planned that does not fit beside its bad lanes');
  return site.web.flatMap((stretch, s) => {
    const own = widths
      .map(({ widthUm }) => ({ widthUm, n: list.filter((w, i) => where[i] === s && w === widthUm).length }))
      .filter(({ n }) => n > 0);
    if (own.length === 0) return [];
    const used = own.reduce((sum, { widthUm, n }) => sum + n * widthUm, 0);
    return bestOnStretch(own, beginnings(stretch, used, s, site.web.length, wanted), wanted);
  });
}

/** Where the strips of a stretch may begin: knives beside the bad lanes are free, those at the trims are not. */
function beginnings(stretch: Stretch, used: number, s: number, stretches: number, wanted: WantedKnives) {
  const atRightEnd = stretch.toUm - used;
  if (s === 0) return [stretch.fromUm];
  if (s === stretches - 1) return [atRightEnd];
  const marks = [...wanted.keys()].flatMap((mark) => [mark, mark - used]);
  const between = marks.filter((at) => at > stretch.fromUm && at < atRightEnd);
  return [...new Set([stretch.fromUm, atRightEnd, ...between])].slice(0, MOST_TRIALS);
}

function bestOnStretch(kinds: StripKind[], from: number[], wanted: WantedKnives): Strip[] {
  let best: { strips: Strip[]; worth: number } | undefined;
  for (const at of from) {
    const found = bestOrder(kinds, at, worthAt(wanted));
    const worth = found.worth + (wanted.get(at) ?? 0);
    if (!best || worth > best.worth) best = { strips: stripsFrom(kinds, found.order, at), worth };
  }
  return best?.strips ?? [];
}

/** The stretch for each strip, by trying; undefined when they do not all fit. */
function shareOut(widthsUm: number[], room: number[], i: number, where: number[]): number[] | undefined {
  if (i === widthsUm.length) return where;
  const sameAsBefore = i > 0 && widthsUm[i] === widthsUm[i - 1] ? where[i - 1] : 0;
  for (let s = sameAsBefore; s < room.length; s++) {
    if (widthsUm[i] > room[s]) continue;
    room[s] -= widthsUm[i];
    const found = shareOut(widthsUm, room, i + 1, [...where, s]);
    room[s] += widthsUm[i];
    if (found) return found;
  }
  return undefined;
}

/** The lanes beside bad ones: whatever lies between the strips is slit out as waste. */
function fillGaps(site: Site, strips: Strip[]): Strip[] {
  const filled: Strip[] = [];
  let at = site.web[0].fromUm;
  const wasteUpTo = (toUm: number) => {
    if (toUm > at) filled.push({ fromUm: at, toUm, waste: true });
  };
  for (const strip of strips) {
    wasteUpTo(strip.fromUm);
    filled.push(strip);
    at = strip.toUm;
  }
  wasteUpTo((site.web.at(-1) as Stretch).toUm);
  return filled;
}
