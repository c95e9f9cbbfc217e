// The web between its edge trims, cut into free stretches by the bad lanes that a set meets. A bad lane at the edge
// is trimmed off when the trim may grow so far; any other is slit out as a waste strip, at least as wide as the
// narrowest strip that the machine can cut, so a narrow lane takes some of the good web beside it.
import { leastTrim, mostTrim } from './patternRules/edgeTrim.ts';
import type { Place } from './patternRules/rule.ts';

export interface Lane {
  fromUm: number;
  toUm: number;
}

export interface FreeWeb {
  /** Free stretches left to right; between two neighbours lies one waste strip. A stretch may be empty. */
  stretches: Lane[];
  /** By how much each waste strip must grow beyond its bad lane to reach the minimum strip width, um. */
  lackUm: number[];
}

/** The free stretches of a web at this place when these lanes are bad. */
export function freeWeb(place: Place, bad: Lane[]): FreeWeb {
  const least = leastTrim(place);
  const most = mostTrim(place);
  let start: number = least.left;
  let end: number = place.widthUm - least.right;
  const lanes = mergeLanes(bad).filter((lane) => lane.toUm > start && lane.fromUm < end);
  while (lanes.length > 0 && lanes[0].fromUm <= start && lanes[0].toUm <= most.left) {
    start = (lanes.shift() as Lane).toUm;
  }
  for (let last = lanes.at(-1); last && last.toUm >= end && last.fromUm >= place.widthUm - most.right; ) {
    end = last.fromUm;
    lanes.pop();
    last = lanes.at(-1);
  }
  return between(start, end, lanes, place.slitter.minStripWidthUm);
}

function between(start: number, end: number, lanes: Lane[], narrowestUm: number): FreeWeb {
  const stretches: Lane[] = [];
  const lackUm: number[] = [];
  let at = start;
  for (const lane of lanes) {
    const fromUm = Math.max(start, lane.fromUm);
    const toUm = Math.min(end, lane.toUm);
    stretches.push({ fromUm: at, toUm: Math.max(at, fromUm) });
    lackUm.push(Math.max(0, narrowestUm - (toUm - fromUm)));
    at = Math.max(at, toUm);
  }
  stretches.push({ fromUm: at, toUm: Math.max(at, end) });
  return { stretches, lackUm };
}

/** Lanes in order from the left, those that touch joined. */
export function mergeLanes(lanes: Lane[]): Lane[] {
  const merged: Lane[] = [];
  for (const lane of [...lanes].sort((a, b) => a.fromUm - b.fromUm)) {
    const last = merged.at(-1);
    if (last && lane.fromUm <= last.toUm) last.toUm = Math.max(last.toUm, lane.toUm);
    else merged.push({ ...lane });
  }
  return merged;
}

/** True when the slack beside the waste strips is enough for each to reach its minimum width. */
export function slackCoversLack(web: FreeWeb, usedUm: number[]): boolean {
  let spare = 0;
  return web.lackUm.every((lack, i) => {
    spare += web.stretches[i].toUm - web.stretches[i].fromUm - usedUm[i];
    const next = web.stretches[i + 1].toUm - web.stretches[i + 1].fromUm - usedUm[i + 1];
    const fromNext = Math.max(0, lack - spare);
    spare = -fromNext; // what is left of this side serves no other waste strip
    return fromNext <= next;
  });
}
