// The web between its edge trims, cut into free stretches by the bad lanes that a set meets. Whatever lies between two
// stretches that are used is slit out as one waste strip, which also takes up what the stretches beside it leave; what
// lies outside the first and the last is trimmed off when the trim may grow so far, else it is a waste strip too.
import { leastTrim } from '../patternRules/edgeTrim.ts';
import type { Place } from '../patternRules/rule.ts';

export interface Lane {
  fromUm: number;
  toUm: number;
}

/** Free stretches left to right; between two neighbours lies one waste strip. An empty one stands for an edge. */
export type FreeWeb = Lane[];

/** The web between the least trims, bad lanes or not. */
export function usableWeb(place: Place): Lane {
  const { left, right } = leastTrim(place);
  return { fromUm: left, toUm: Math.max(left, place.widthUm - right) };
}

/**
 * The free web at this place beside these bad lanes, stretches too narrow for any strip left out; none when nothing
 * is left. With `every`, also each choice of fewer stretches, which needs fewer waste strips: matters where these are
 * limited.
 */
export function freeWebs(place: Place, bad: Lane[], narrowestUm: number, every: boolean): FreeWeb[] {
  const stretches = freeStretches(usableWeb(place), bad).filter((s) => s.toUm - s.fromUm >= narrowestUm);
  const few = every && stretches.length <= MOST_TO_CHOOSE_FROM;
  const choices = few ? choicesOf(stretches) : stretches.length > 0 ? [stretches] : [];
  return choices.map((chosen) => withEdges(place, chosen));
}

/** Beyond so many stretches the choices are too many; all of them are then used. */
const MOST_TO_CHOOSE_FROM = 4;

function freeStretches(usable: Lane, bad: Lane[]): Lane[] {
  const stretches: Lane[] = [];
  let at = usable.fromUm;
  for (const lane of mergeLanes(bad)) {
    if (lane.toUm <= usable.fromUm || lane.fromUm >= usable.toUm) continue;
    stretches.push({ fromUm: at, toUm: Math.max(at, lane.fromUm) });
    at = Math.min(usable.toUm, lane.toUm);
  }
  return [...stretches, { fromUm: at, toUm: usable.toUm }];
}

/** Every choice of at least one, the whole list first. */
function choicesOf(stretches: Lane[]): Lane[][] {
  const most = 2 ** stretches.length - 1;
  return Array.from({ length: most }, (_, k) =>
    stretches.filter((_stretch, s) => Math.floor((most - k) / 2 ** s) % 2 === 1),
  );
}

/** Puts an empty stretch at an edge from which more has to go than the trim may take. */
function withEdges(place: Place, chosen: Lane[]): FreeWeb {
  const { fromUm, toUm } = usableWeb(place);
  const most = place.slitter.edgeTrimMaxUm;
  const goesLeft = chosen[0].fromUm > Math.max(fromUm, most.left);
  const goesRight = place.widthUm - (chosen.at(-1) as Lane).toUm > Math.max(place.widthUm - toUm, most.right);
  return [
    ...(goesLeft ? [{ fromUm, toUm: fromUm }] : []),
    ...chosen,
    ...(goesRight ? [{ fromUm: toUm, toUm }] : []),
  ];
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
