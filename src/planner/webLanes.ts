// The web between its edge trims, cut into free stretches by the bad lanes that a set meets. A bad lane at the edge
// is trimmed off when the trim may grow so far; any other is slit out as a waste strip, which also takes up whatever
// the stretches beside it leave.
import { leastTrim } from './patternRules/edgeTrim.ts';
import type { Place } from './patternRules/rule.ts';

export interface Lane {
  fromUm: number;
  toUm: number;
}

/** Free stretches left to right; between two neighbours lies one waste strip. A stretch may be empty. */
export type FreeWeb = Lane[];

/** The free stretches of a web at this place when these lanes are bad. */
export function freeWeb(place: Place, bad: Lane[]): FreeWeb {
  const least = leastTrim(place);
  const most = place.slitter.edgeTrimMaxUm;
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
  return between(start, end, lanes);
}

function between(start: number, end: number, lanes: Lane[]): FreeWeb {
  const stretches: Lane[] = [];
  let at = start;
  for (const lane of lanes) {
    stretches.push({ fromUm: at, toUm: Math.max(at, lane.fromUm) });
    at = Math.max(at, Math.min(end, lane.toUm));
  }
  stretches.push({ fromUm: at, toUm: Math.max(at, end) });
  return stretches;
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
