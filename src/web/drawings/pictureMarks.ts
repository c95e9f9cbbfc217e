// The marks round a field: the scale across, where something begins or ends along the roll, and the captions beside it.
// A mark that would touch its neighbour is left out; a caption gives way and keeps a leader to its place.

import { grouped } from '../words.ts';
import type { AlongScale } from './pictureScale.ts';
import {
  type BadPlace,
  type Bed,
  type Caption,
  type Field,
  LEFT,
  RIGHT,
  type Tick,
  TOP,
} from './pictureShapes.ts';
import { type Box, shorten, spread, textWidth } from './pictureText.ts';

/** "8 sets of 300 m" */
export const setsWords = (bed: Bed) =>
  `${grouped(bed.sets, 0)} ${bed.sets === 1 ? 'set' : 'sets'} of ${grouped(bed.lengthM, 3)} m`;

/** "streak, 300 to 306 mm, 0 to 2,600 m" */
export const badWords = (bad: BadPlace) =>
  `${bad.kind}, ${grouped(bad.fromMm, 3)} to ${grouped(bad.toMm, 3)} mm, ${grouped(bad.fromM, 1)} to ${grouped(bad.toM, 1)} m`;

/** Round millimetres from the datum edge, and the width itself. */
export function acrossTicks(widthMm: number, perMm: number): Tick[] {
  const step = [10, 20, 50, 100, 150, 200, 250, 500, 1000].find((mm) => mm * perMm >= 70) ?? widthMm;
  const end = { at: LEFT + widthMm * perMm, text: grouped(widthMm, 3) };
  const ticks: Tick[] = [];
  for (let mm = 0; mm < widthMm; mm += step) ticks.push({ at: LEFT + mm * perMm, text: grouped(mm, 0) });
  const room = textWidth(end.text, 'small') + 8;
  return [...ticks.filter((tick) => tick.at === LEFT || end.at - tick.at >= room), end];
}

/** Where something begins or ends along the roll; a mark that would touch the one above it is left out. */
export function alongTicks(field: Field, along: AlongScale): Tick[] {
  const marks = new Set([field.beginsM ?? 0, field.lengthM]);
  if (field.beds.length === 0)
    for (const bad of field.bad) for (const m of [bad.fromM, bad.toM]) marks.add(m);
  for (const bed of field.beds) for (const m of [bed.fromM, bed.toM]) marks.add(m);
  const end = along.y(field.lengthM);
  const ticks: Tick[] = [];
  for (const m of [...marks].filter((metres) => metres <= field.lengthM).sort((a, b) => a - b)) {
    const at = along.y(m);
    const clear = at - (ticks.at(-1)?.at ?? Number.NEGATIVE_INFINITY) >= 12 && (at === end || end - at >= 12);
    if (clear || at === end) ticks.push({ at, text: `${grouped(m, 1)} m` });
  }
  return ticks;
}

const acrossWords = (field: Field, { fromMm, toMm }: BadPlace) =>
  fromMm === 0 && toMm >= field.widthMm ? 'full width' : `${grouped(fromMm, 3)}-${grouped(toMm, 3)} mm`;
const alongWords = (field: Field, { fromM, toM }: BadPlace) =>
  fromM === 0 && toM >= field.lengthM ? 'full length' : `${grouped(fromM, 1)}-${grouped(toM, 1)} m`;

/** Runs beside their beds; on a bare map, the bad places. */
export function captions(field: Field, frame: Box, along: AlongScale): Caption[] {
  const x = frame.x + frame.width + 16;
  const beds = field.beds.map((bed) => ({
    pointsTo: along.y(bed.fromM),
    main: bed.name,
    small: setsWords(bed),
  }));
  const bad = field.bad.map((place) => ({
    pointsTo: along.y(Math.max(place.fromM, 0)),
    main: place.kind,
    small: `${acrossWords(field, place)}, ${alongWords(field, place)}`,
  }));
  const all = (beds.length > 0 ? beds : bad).sort((a, b) => a.pointsTo - b.pointsTo);
  const places = spread(
    all.map((one) => one.pointsTo),
    30,
    TOP,
    frame.y + frame.height - 14,
  );
  return all.map((one, i) => ({
    y: places[i]!,
    pointsTo: one.pointsTo,
    lines: [
      { text: shorten(one.main, 'main', RIGHT - 18), look: 'main', x, y: places[i]! + 12, turned: false },
      { text: shorten(one.small, 'small', RIGHT - 18), look: 'small', x, y: places[i]! + 25, turned: false },
    ],
  }));
}
