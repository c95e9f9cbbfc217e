// The one picture: a roll as a field seen from above. Millimetres run across from the datum edge on the left, metres
// down its length; runs are beds, strips are rows, bad places lie where they are, the stub is what is left.
// Pure view model: numbers in (decimal mm and m, as the plan file has them), shapes in SVG user units out.
// views/_field.ejs draws it; picturePlan.ts makes the fields of a plan, pictureRoll.ts that of a roll in stock.

import { grouped } from '../words.ts';
import { acrossTicks, alongTicks, badWords, captions, setsWords } from './pictureMarks.ts';
import { alongScale } from './pictureScale.ts';
import type { BadPlace, Bed, DrawnBed, Field, FieldPicture, Lane, Rest, Shape } from './pictureShapes.ts';
import { ACROSS, BOTTOM, LEFT, RIGHT, TONES, TOP } from './pictureShapes.ts';
import { type Box, fitLabel, type PlacedText, shorten } from './pictureText.ts';

/** Draws one roll. `widestMm` is the widest web on the page, so that rolls beside each other share one scale. */
export function drawField(field: Field, widestMm = field.widthMm): FieldPicture {
  const perMm = ACROSS / widestMm;
  const along = alongScale(field);
  const frame: Box = { x: LEFT, y: TOP, width: field.widthMm * perMm, height: along.height };
  const at = (fromMm: number, toMm: number, fromM: number, toM: number): Box => ({
    x: LEFT + fromMm * perMm,
    y: along.y(fromM),
    width: (toMm - fromMm) * perMm,
    height: along.y(toM) - along.y(fromM),
  });
  const beds = field.beds.map((bed) => drawBed(bed, at, field.widthMm));
  return {
    id: field.id,
    // The same for narrow rolls, so that all pictures of a page are shown at one scale.
    width: LEFT + ACROSS + RIGHT,
    height: TOP + frame.height + BOTTOM,
    title: field.title,
    size: `${grouped(field.widthMm, 3)} mm x ${grouped(field.lengthM, 1)} m`,
    frame,
    across: acrossTicks(field.widthMm, perMm),
    along: alongTicks(field, along),
    breakAt: along.breakAt,
    beds,
    rests: field.rests.map((rest) => drawRest(rest, at(0, field.widthMm, rest.fromM, rest.toM))),
    bad: field.bad.map((place) => drawBad(place, at(place.fromMm, place.toMm, place.fromM, place.toM))),
    captions: captions(field, frame, along),
  };
}

type At = (fromMm: number, toMm: number, fromM: number, toM: number) => Box;

function drawBed(bed: Bed, at: At, widthMm: number): DrawnBed {
  const whole = at(0, widthMm, bed.fromM, bed.toM);
  const edges = [...new Set(bed.lanes.flatMap((lane) => [lane.fromMm, lane.toMm]))].filter(
    (mm) => mm > 0 && mm < widthMm,
  );
  const tick = Math.min(6, whole.height / 2);
  const perSet = whole.height / bed.sets;
  return {
    ...whole,
    anchor: bed.anchor,
    title: `${bed.name}: ${bedWords(bed)}`,
    strips: bed.lanes.map((lane) => drawLane(lane, at(lane.fromMm, lane.toMm, bed.fromM, bed.toM))),
    knives: edges.map((mm) => {
      const x = at(mm, mm, 0, 0).x;
      return { x1: x, y1: whole.y, x2: x, y2: whole.y + tick };
    }),
    setLines:
      perSet < 7
        ? []
        : Array.from({ length: bed.sets - 1 }, (_, i) => {
            const y = whole.y + (i + 1) * perSet;
            return { x1: whole.x, y1: y, x2: whole.x + whole.width, y2: y };
          }),
  };
}

/** "8 sets of 300 m, from 30 m to 2,430 m; 5 x 110 mm for SO-4102, ..." */
function bedWords(bed: Bed): string {
  const groups = new Map<string, number>();
  for (const lane of bed.lanes) {
    if (lane.use === 'trim') continue;
    const words = `${grouped(lane.toMm - lane.fromMm, 3)} mm ${lane.use === 'order' ? `for ${lane.order}` : lane.use}`;
    groups.set(words, (groups.get(words) ?? 0) + 1);
  }
  const rows = [...groups].map(([words, count]) => `${count} x ${words}`).join(', ');
  return `${setsWords(bed)}, from ${grouped(bed.fromM, 1)} m to ${grouped(bed.toM, 1)} m; ${rows}`;
}

function drawLane(lane: Lane, box: Box): Shape {
  const width = grouped(lane.toMm - lane.fromMm, 3);
  const place = `${grouped(lane.fromMm, 3)} to ${grouped(lane.toMm, 3)} mm from the datum edge`;
  if (lane.use === 'order') {
    const tone = lane.tone % TONES;
    return {
      ...box,
      look: `tone tone-${tone}`,
      hatch: `tone-${tone}`,
      title: `${width} mm for ${lane.order}, ${place}`,
      text: fitLabel(box, width, lane.order),
    };
  }
  const name = { filler: 'filler', waste: 'waste strip', trim: 'edge trim' }[lane.use];
  const text = lane.use === 'filler' ? fitLabel(box, width, 'filler') : [];
  return { ...box, look: lane.use, hatch: lane.use, title: `${name} ${width} mm, ${place}`, text };
}

function drawRest(rest: Rest, box: Box): Shape {
  const words = shorten(rest.words, 'small', box.width - 8);
  const text: PlacedText[] =
    box.height < 14 || words === ''
      ? []
      : [
          {
            text: words,
            look: 'small',
            x: box.x + box.width / 2,
            y: box.y + box.height / 2 + 4,
            turned: false,
          },
        ];
  const title = `${rest.words}, from ${grouped(rest.fromM, 1)} m to ${grouped(rest.toM, 1)} m`;
  return { ...box, look: rest.use, hatch: rest.use, title, text };
}

/** To scale, but never thinner than 3 px: a 2 mm streak must be seen. */
function drawBad(place: BadPlace, box: Box): Shape {
  const width = Math.max(3, box.width);
  const height = Math.max(3, box.height);
  return { x: box.x, y: box.y, width, height, look: 'bad', hatch: 'bad', title: badWords(place), text: [] };
}
