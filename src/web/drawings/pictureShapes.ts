// What the pictures are made of: the field as it is told (mm and m) and the shapes as they are drawn (SVG user units).
import type { Box, PlacedText } from './pictureText.ts';

export interface BadPlace {
  fromM: number;
  toM: number;
  fromMm: number;
  toMm: number;
  kind: string;
}

export type Lane = { fromMm: number; toMm: number } & (
  | { use: 'order'; order: string; tone: number }
  | { use: 'filler' | 'waste' | 'trim' }
);

/** A run laid on the roll: all lanes of its pattern, trims included, left to right. */
export interface Bed {
  name: string;
  /** Where the run's page part is, for a link; empty for none. */
  anchor: string;
  fromM: number;
  toM: number;
  sets: number;
  lengthM: number;
  lanes: Lane[];
}

/** A stretch across the whole web that no run takes. */
export interface Rest {
  fromM: number;
  toM: number;
  use: 'stub' | 'lost';
  words: string;
}

export interface Field {
  /** Unique on the page and fit for an id attribute. */
  id: string;
  title: string;
  widthMm: number;
  lengthM: number;
  /** Where the drawn stretch begins; left out: at the outer end. */
  beginsM?: number;
  bad: BadPlace[];
  beds: Bed[];
  rests: Rest[];
}

export interface Shape extends Box {
  /** CSS class: how it is filled. */
  look: string;
  /** Hatch pattern laid over it; empty for none. */
  hatch: string;
  title: string;
  text: PlacedText[];
}
export interface Line {
  x1: number;
  y1: number;
  x2: number;
  y2: number;
}
export interface Tick {
  at: number;
  text: string;
}
export interface DrawnBed extends Box {
  title: string;
  anchor: string;
  strips: Shape[];
  knives: Line[];
  setLines: Line[];
}
export interface Caption {
  y: number;
  /** Where it points to; differs from y when it had to give way. */
  pointsTo: number;
  lines: PlacedText[];
}
export interface FieldPicture {
  id: string;
  width: number;
  height: number;
  title: string;
  size: string;
  frame: Box;
  across: Tick[];
  along: Tick[];
  /** Where a break line crosses a long end that is not drawn to scale. */
  breakAt: number | undefined;
  beds: DrawnBed[];
  rests: Shape[];
  bad: Shape[];
  captions: Caption[];
}

export const TONES = 8;
export const LEFT = 70;
export const TOP = 44;
export const ACROSS = 640;
export const RIGHT = 170;
export const BOTTOM = 10;
