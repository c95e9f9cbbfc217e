// The picture of a pattern: one set of a run seen from above, to scale across, with every knife position written from
// the datum edge. Positions closer than a line of turned text are spread, each with a leader to its knife.
// Pure: decimal mm in, shapes in SVG user units out; views/_pattern.ejs draws it.

import { grouped } from '../words.ts';
import type { Lane, Line, Shape } from './pictureShapes.ts';
import { TONES } from './pictureShapes.ts';
import { fitLabel, spread } from './pictureText.ts';

export interface KnifeMark {
  /** The knife itself, through the web. */
  knife: Line;
  /** From the knife to its text. */
  leader: Line;
  text: string;
  x: number;
  y: number;
}

export interface PatternPicture {
  id: string;
  width: number;
  height: number;
  title: string;
  strips: Shape[];
  knives: KnifeMark[];
}

const WIDE = 860;
const SIDE = 10;
const BAND_TOP = 58;
const BAND = 46;
const LINE = 12;

/** Draws one set across the web. `lanes` go left to right, trims included; positions in decimal mm. */
export function drawPattern(
  id: string,
  title: string,
  webWidthMm: number,
  lanes: readonly Lane[],
): PatternPicture {
  const perMm = (WIDE - 2 * SIDE) / webWidthMm;
  const strips = lanes.map((lane) => drawLane(lane, perMm));
  const edges = [...new Set(lanes.flatMap((lane) => [lane.fromMm, lane.toMm]))]
    .filter((mm) => mm > 0 && mm < webWidthMm)
    .sort((a, b) => a - b);
  const places = spread(
    edges.map((mm) => SIDE + mm * perMm),
    LINE,
    SIDE,
    WIDE - SIDE,
  );
  const knives = edges.map((mm, i): KnifeMark => {
    const x = SIDE + mm * perMm;
    return {
      knife: { x1: x, y1: BAND_TOP - 6, x2: x, y2: BAND_TOP + BAND + 4 },
      leader: { x1: x, y1: BAND_TOP - 6, x2: places[i]!, y2: BAND_TOP - 14 },
      text: grouped(mm, 3),
      x: places[i]! + 3.5,
      y: BAND_TOP - 17,
    };
  });
  return { id, width: WIDE, height: BAND_TOP + BAND + 8, title, strips, knives };
}

function drawLane(lane: Lane, perMm: number): Shape {
  const box = {
    x: SIDE + lane.fromMm * perMm,
    y: BAND_TOP,
    width: (lane.toMm - lane.fromMm) * perMm,
    height: BAND,
  };
  const width = grouped(lane.toMm - lane.fromMm, 3);
  if (lane.use === 'order') {
    const tone = `tone-${lane.tone % TONES}`;
    const text = fitLabel(box, width, lane.order);
    return { ...box, look: `tone ${tone}`, hatch: tone, title: `${width} mm for ${lane.order}`, text };
  }
  const name = { filler: 'filler', waste: 'waste strip', trim: 'edge trim' }[lane.use];
  return {
    ...box,
    look: lane.use,
    hatch: lane.use,
    title: `${name} ${width} mm`,
    text: fitLabel(box, width, ''),
  };
}
