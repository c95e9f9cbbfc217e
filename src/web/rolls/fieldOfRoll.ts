// The roll of a stock row as the one picture shows it: its map alone, no runs laid on it.
import type { Row } from '../../domain/resource.ts';
import { type BadPlace, placesOnRoll } from '../../domain/rollMap.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { drawField } from '../drawings/picture.ts';

/** Name line and drawn field of a stock roll. */
export function rollField(row: Row) {
  const size = { widthUm: row.widthUm as number, lengthMm: row.lengthMm as number };
  const places = placesOnRoll((row.rollMap ?? []) as BadPlace[], size);
  const name = `${row.code} ${row.item} ${row.kind}`;
  const picture = drawField({
    id: 'roll',
    title: `Roll ${name}, seen from above: ${places.length === 0 ? 'no bad places are known' : `${places.length} bad places`}`,
    widthMm: umToMm(size.widthUm),
    lengthM: mmToM(size.lengthMm),
    bad: places.map((p) => ({
      fromM: mmToM(p.fromMm),
      toM: mmToM(p.toMm),
      fromMm: umToMm(p.fromUm),
      toMm: umToMm(p.toUm),
      kind: p.kind,
    })),
    beds: [],
    rests: [],
  });
  return { name, picture, clean: places.length === 0 };
}

const THUMB = { width: 120, height: 30 };

/** The map at list size, metres to the right, left edge on top; undefined when no bad place is entered. */
export function rollThumb(row: Row) {
  const size = { widthUm: row.widthUm as number, lengthMm: row.lengthMm as number };
  const places = placesOnRoll((row.rollMap ?? []) as BadPlace[], size);
  if (places.length === 0) return undefined;
  const alongOf = (mm: number): number => (mm / size.lengthMm) * THUMB.width;
  const acrossOf = (um: number): number => (um / size.widthUm) * THUMB.height;
  return {
    words: places.map((p) => p.kind).join(', '),
    bad: places.map((p) => ({
      x: round(alongOf(p.fromMm)),
      y: round(acrossOf(p.fromUm)),
      width: round(Math.max(1.5, alongOf(p.toMm - p.fromMm))),
      height: round(Math.max(1.5, acrossOf(p.toUm - p.fromUm))),
    })),
  };
}

const round = (value: number): number => Math.round(value * 100) / 100;
