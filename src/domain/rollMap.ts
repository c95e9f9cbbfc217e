// The roll map as text and as numbers: one bad place a line, "0-2600 m, 300-306 mm, streak".
// Metres count from the outer end, millimetres from the left datum edge, as the roll stands in stock. The datum edge is
// a side of the machines, not a direction of looking: a roll that is wound over keeps its left, one that is turned over
// does not. Its map must then be turned too: rewound and turnedOver below; what is slit from it inherits its part: inherited.
// "full length", "full width" and "...-end" stay open, so that they follow the roll when its length is corrected.
import { printNumber, readNumber } from './numberText.ts';
import type { Defect } from './problem.ts';
import { mm, mmToM, mmToUm, mToMm, um, umToMm } from './units.ts';

/** Whole mm along, whole um across; null means to the end of the roll, or to its right edge. */
export interface BadPlace {
  fromMm: number;
  toMm: number | null;
  fromUm: number;
  toUm: number | null;
  kind: string;
}

/** A place given by one position only (a flag, a join) is taken as this long. Default, verify: 1 m to cut out. */
export const POINT_MM = 1000;
const RIGHT =
  'one place a line, such as "0-2600 m, 300-306 mm, streak", "1210 m, full width, flag" or "full length, 182-196 mm, gauge band"';

export type RollMapResult = { ok: true; value: BadPlace[] } | { ok: false; wrong: string; right: string };

/** Reads a roll map; empty lines are skipped. Places of one line may also be parted by " | ", for tables. */
export function parseRollMap(text: string): RollMapResult {
  const places: BadPlace[] = [];
  const lines = text.split(/\r\n|\r|\n|\|/).map((line) => line.trim());
  for (const [index, line] of lines.entries()) {
    if (line === '') continue;
    const place = parsePlace(line);
    if (typeof place === 'string')
      return { ok: false, wrong: `line ${index + 1} "${line}": ${place}`, right: RIGHT };
    places.push(place);
  }
  return { ok: true, value: places };
}

function parsePlace(line: string): BadPlace | string {
  const parts = line.split(/[,;](?=\s|$)/).map((part) => part.trim());
  if (parts.length < 3) return 'it needs three parts: where along, where across, what kind';
  const [along, across, ...kind] = parts as [string, string, ...string[]];
  const lengthM = parseSpan(along, 'm', 'full length');
  if (typeof lengthM === 'string') return lengthM;
  const widthMm = parseSpan(across, 'mm', 'full width');
  if (typeof widthMm === 'string') return widthMm;
  if (kind.join(', ').trim() === '') return 'the kind of bad place is missing';
  const fromMm = mToMm(lengthM.from);
  return {
    fromMm,
    toMm: lengthM.to === null ? null : lengthM.to === lengthM.from ? fromMm + POINT_MM : mToMm(lengthM.to),
    fromUm: mmToUm(widthMm.from),
    toUm: widthMm.to === null ? null : mmToUm(widthMm.to),
    kind: kind.join(', '),
  };
}

interface Span {
  from: number;
  to: number | null;
}

function parseSpan(text: string, unit: 'm' | 'mm', full: string): Span | string {
  if (text.toLowerCase() === full) return { from: 0, to: null };
  const match = /^([\d.,]+)(?:\s*(?:-|–|to)\s*([\d.,]+|end))?\s*(m|mm)?$/i.exec(text);
  if (!match) return `"${text}" is not a place in ${unit}`;
  if (match[3] && match[3].toLowerCase() !== unit) return `"${text}" should be in ${unit}`;
  const from = readNumber(match[1] as string, 'auto');
  const end = match[2]?.toLowerCase();
  const to = end === undefined ? from : end === 'end' ? null : readNumber(end, 'auto');
  if (typeof from === 'string') return from;
  if (typeof to === 'string') return to;
  if (to !== null && to < from) return `"${text}" ends before it begins`;
  if (to === from && unit === 'mm') return `"${text}" has no width`;
  return { from, to };
}

/** The roll map as text, one place a line; reading it again gives the same places. */
export function printRollMap(places: readonly BadPlace[]): string {
  return places.map(printPlace).join('\n');
}

function printPlace(place: BadPlace): string {
  const along =
    place.fromMm === 0 && place.toMm === null
      ? 'full length'
      : `${printNumber(mmToM(place.fromMm))}-${place.toMm === null ? 'end' : printNumber(mmToM(place.toMm))} m`;
  const across =
    place.fromUm === 0 && place.toUm === null
      ? 'full width'
      : `${printNumber(umToMm(place.fromUm))}-${place.toUm === null ? 'end' : printNumber(umToMm(place.toUm))} mm`;
  return `${along}, ${across}, ${place.kind}`;
}

/** The bad places as they lie on a roll of this size: open ends closed, what hangs over the roll cut off. */
export function placesOnRoll(
  places: readonly BadPlace[],
  roll: { widthUm: number; lengthMm: number },
): Defect[] {
  return places
    .map((place) => ({
      fromMm: mm(Math.min(place.fromMm, roll.lengthMm)),
      toMm: mm(Math.min(place.toMm ?? roll.lengthMm, roll.lengthMm)),
      fromUm: um(Math.min(place.fromUm, roll.widthUm)),
      toUm: um(Math.min(place.toUm ?? roll.widthUm, roll.widthUm)),
      kind: place.kind,
    }))
    .filter((defect) => defect.toMm > defect.fromMm && defect.toUm > defect.fromUm);
}

/**
 * The map of the roll once it is wound over onto another core: what was the inner end is the outer end, left stays
 * left. `lengthMm`: the roll's length. A place that reaches an end goes on reaching it (null).
 */
export function rewound(places: readonly BadPlace[], lengthMm: number): BadPlace[] {
  return places.map((place) => {
    const { from, to } = mirrored(place.fromMm, place.toMm, lengthMm);
    return { ...place, fromMm: from, toMm: to };
  });
}

/** The map of the roll turned over, other face up: left and right change sides. `widthUm`: the roll's width. */
export function turnedOver(places: readonly BadPlace[], widthUm: number): BadPlace[] {
  return places.map((place) => {
    const { from, to } = mirrored(place.fromUm, place.toUm, widthUm);
    return { ...place, fromUm: from, toUm: to };
  });
}

/** A rectangle of a roll: what a set takes along and a strip takes across. */
export interface PartOfRoll {
  fromMm: number;
  toMm: number;
  fromUm: number;
  toUm: number;
}

/** The map of what is left once `usedMm` are gone from the outer end. */
export function usedFrom(places: readonly BadPlace[], usedMm: number): BadPlace[] {
  return places
    .filter(({ toMm }) => toMm === null || toMm > usedMm)
    .map((place) => ({
      ...place,
      fromMm: Math.max(0, place.fromMm - usedMm),
      toMm: place.toMm === null ? null : place.toMm - usedMm,
    }));
}

/** The map of a part as it still lies: counted from the part's own outer end and left edge. */
export function cutTo(places: readonly BadPlace[], part: PartOfRoll): BadPlace[] {
  return places.flatMap((place) => {
    const along = within(place.fromMm, place.toMm, part.fromMm, part.toMm);
    const across = within(place.fromUm, place.toUm, part.fromUm, part.toUm);
    if (!along || !across) return [];
    return { fromMm: along.from, toMm: along.to, fromUm: across.from, toUm: across.to, kind: place.kind };
  });
}

/** The map that a roll inherits which is wound of this part of its parent: the part that ran first lies innermost. */
export function inherited(places: readonly BadPlace[], part: PartOfRoll): BadPlace[] {
  return rewound(cutTo(places, part), part.toMm - part.fromMm);
}

/** The map of a roll wound of several pieces joined, in the order in which they ran; each map as its piece came off. */
export function woundOf(pieces: readonly { places: readonly BadPlace[]; lengthMm: number }[]): BadPlace[] {
  let ranMm = 0;
  const joined: BadPlace[] = [];
  for (const { places, lengthMm } of pieces) {
    for (const place of places) {
      const toMm = ranMm + Math.min(place.toMm ?? lengthMm, lengthMm);
      joined.push({ ...place, fromMm: ranMm + place.fromMm, toMm });
    }
    ranMm += lengthMm;
  }
  return rewound(cutTo(joined, { fromMm: 0, toMm: ranMm, fromUm: 0, toUm: Infinity }), ranMm);
}

/** The span inside [low, high], counted from low; one that reaches high goes on reaching it (null). */
function within(from: number, to: number | null, low: number, high: number) {
  if (from >= high || (to !== null && to <= low)) return undefined;
  return { from: Math.max(from, low) - low, to: to === null || to >= high ? null : to - low };
}

function mirrored(from: number, to: number | null, whole: number): { from: number; to: number | null } {
  return {
    from: to === null ? 0 : Math.max(0, whole - to),
    to: from === 0 ? null : Math.max(0, whole - from),
  };
}
