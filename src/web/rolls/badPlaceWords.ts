// What became of the bad places of the rolls used, in words: slit out as waste, in the edge trim, cut out and spliced,
// or passed over by every run.
import type { Bed, Field, Lane } from '../drawings/pictureShapes.ts';
import { isFullWidth } from '../drawings/webRolls.ts';
import { andList, grouped } from '../words.ts';

type Bad = Field['bad'][number];

/** One sentence for each bad place and run: "The streak at 300 to 306 mm of R7030 (0 to 2,600 m) is slit out in a waste strip of run 1." */
export function badPlaceWords(field: Field, names: string): string[] {
  return field.bad.flatMap((bad) => {
    const met = field.beds.filter((bed) => bed.fromM < bad.toM && bed.toM > bad.fromM);
    const metres = `${grouped(bad.fromM, 1)} to ${grouped(bad.toM, 1)} m`;
    if (isFullWidth(bad, field.widthMm))
      return fullWidthWords(bad, met, `The ${bad.kind} over the full width of ${names} (${metres})`);
    const place = `The ${bad.kind} at ${grouped(bad.fromMm)} to ${grouped(bad.toMm)} mm of ${names} (${metres})`;
    if (met.length === 0) return [`${place} is not touched by any run.`];
    return met.map((bed) => laneWords(bad, bed, place));
  });
}

function fullWidthWords(bad: Bad, met: Bed[], place: string): string[] {
  if (met.length === 0) return [`${place} is passed over: no set takes these metres.`];
  const runs = andList(met.map((bed) => bed.name));
  return [`${place} is cut out in ${runs}: ${grouped(bad.toM - bad.fromM, 1)} m, and the ends are spliced.`];
}

function laneWords(bad: Bad, bed: Bed, place: string): string {
  const hit = bed.lanes.filter((lane) => lane.fromMm < bad.toMm && lane.toMm > bad.fromMm);
  const sold = hit.filter((lane) => lane.use === 'order' || lane.use === 'filler');
  const strips = andList([...new Set((sold.length > 0 ? sold : hit).map(stripWords))]);
  if (sold.length > 0) return `${place} lies in ${strips} of ${bed.name}: to be cut out or spliced there.`;
  const only = hit.every((lane) => lane.use === 'trim');
  return only
    ? `${place} falls into the edge trim of ${bed.name}.`
    : `${place} is slit out in ${strips} of ${bed.name}.`;
}

function stripWords(lane: Lane): string {
  if (lane.use === 'order') return `a strip for ${lane.order}`;
  const width = grouped(lane.toMm - lane.fromMm);
  return {
    trim: 'the edge trim',
    waste: `a waste strip of ${width} mm`,
    filler: `a filler strip of ${width} mm`,
  }[lane.use];
}
