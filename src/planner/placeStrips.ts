// Where the strips of a set lie on the web: wide ones from the datum edge inwards, trims as small as the left edge
// allows so that the left knives stay put from run to run, what the right trim cannot take slit out as a waste strip.
// Positions are um from the left datum edge.
import type { Model, Pattern, Site } from './model.ts';

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

export function placeStrips(model: Model, pattern: Pattern): Placed {
  const site = model.sites[pattern.site];
  const strips = pattern.counts
    .flatMap((n, k) => new Array<number>(n).fill(k))
    .sort((a, b) => site.widthsUm[b] - site.widthsUm[a] || a - b);
  const lanes = site.web.length > 1 ? besideBadLanes(site, strips) : acrossWholeWeb(site, strips);
  const withWaste = fillGaps(site, lanes);
  return { lanes: withWaste, knivesUm: [withWaste[0].fromUm, ...withWaste.map((lane) => lane.toUm)] };
}

function laneAt(site: Site, strip: number, fromUm: number): Lane {
  return { fromUm, toUm: fromUm + site.widthsUm[strip], demand: site.demands[strip] };
}

function acrossWholeWeb(site: Site, strips: number[]): Lane[] {
  const [{ fromUm, toUm }] = site.web;
  const used = strips.reduce((sum, k) => sum + site.widthsUm[k], 0);
  const { slitter, widthUm } = site.place;
  const rest = toUm - fromUm - used;
  const right = Math.min(rest, slitter.edgeTrimMaxUm.right - (widthUm - toUm));
  const left = rest <= site.trimSlackUm ? rest - right : 0;
  let at = fromUm + left;
  return strips.map((k) => {
    const lane = laneAt(site, k, at);
    at = lane.toUm;
    return lane;
  });
}

/** Strips share out over the free stretches; the last stretch lies against its right end. */
function besideBadLanes(site: Site, strips: number[]): Lane[] {
  const room = site.web.map((stretch) => stretch.toUm - stretch.fromUm);
  const where = shareOut(site, strips, room, 0, []);
  if (!where) throw new Error('a set was planned that does not fit beside its bad lanes');
  return site.web.flatMap((stretch, s) => {
    const own = strips.filter((_, i) => where[i] === s);
    const used = own.reduce((sum, k) => sum + site.widthsUm[k], 0);
    let at = s === site.web.length - 1 ? stretch.toUm - used : stretch.fromUm;
    return own.map((k) => {
      const lane = laneAt(site, k, at);
      at = lane.toUm;
      return lane;
    });
  });
}

/** The stretch for each strip, by trying; undefined when they do not all fit. */
function shareOut(
  site: Site,
  strips: number[],
  room: number[],
  i: number,
  where: number[],
): number[] | undefined {
  if (i === strips.length) return where;
  const sameAsBefore = i > 0 && strips[i] === strips[i - 1] ? where[i - 1] : 0;
  for (let s = sameAsBefore; s < room.length; s++) {
    if (site.widthsUm[strips[i]] > room[s]) continue;
    room[s] -= site.widthsUm[strips[i]];
    const found = shareOut(site, strips, room, i + 1, [...where, s]);
    room[s] += site.widthsUm[strips[i]];
    if (found) return found;
  }
  return undefined;
}

/** Waste strips between the lanes, and at the right where the trim may not grow so far. */
function fillGaps(site: Site, lanes: Lane[]): Lane[] {
  const { slitter, widthUm } = site.place;
  const start = site.web.length > 1 ? site.web[0].fromUm : lanes[0].fromUm;
  const last = site.web.at(-1) as { toUm: number };
  const least = widthUm - last.toUm;
  const filled: Lane[] = [];
  let at = start;
  for (const lane of lanes) {
    if (lane.fromUm > at) filled.push({ fromUm: at, toUm: lane.fromUm, demand: -1 });
    filled.push(lane);
    at = lane.toUm;
  }
  const rightTrim = Math.max(least, Math.min(widthUm - at, slitter.edgeTrimMaxUm.right));
  if (site.web.length > 1 && at < last.toUm) filled.push({ fromUm: at, toUm: last.toUm, demand: -1 });
  else if (at < widthUm - rightTrim) filled.push({ fromUm: at, toUm: widthUm - rightTrim, demand: -1 });
  return filled;
}

/** How many of these knives stand where none stood before. */
export function knivesMoved(knivesUm: number[], before: ReadonlySet<number> | undefined): number {
  return knivesUm.filter((knife) => !before?.has(knife)).length;
}
