// How metres along a roll become pixels down the page: one scale for all beds. A long end that no run takes would
// push them together, so its middle is left out, like a broken axis, and the picture says so with a break line.
import { type Field, TOP } from './pictureShapes.ts';

export interface AlongScale {
  /** Height of the whole field. */
  height: number;
  /** Where a metre mark lies. */
  y(metres: number): number;
  /** Where the break line crosses the end that is not to scale; undefined when everything is to scale. */
  breakAt: number | undefined;
}

const LOWEST = 150;
const HIGHEST = 640;
/** Room for the labels of a bed on two lines. */
const BED_WANTED = 34;
const BED_USUAL = 80;
const CAPTION = 30;
/** Height of an end that is not to scale. */
const BROKEN_END = 90;

/** The scale of a field: high enough for the shortest bed to carry its labels, within what a page can take. */
export function alongScale(field: Field): AlongScale {
  const begins = field.beginsM ?? 0;
  const drawn = field.lengthM - begins;
  const used = Math.max(0, ...field.beds.map((bed) => bed.toM - begins));
  const rest = drawn - used;
  const toScale = heightOf(field, drawn);
  const broken = used > 0 && rest > used / 2 && (rest / drawn) * toScale > BROKEN_END;
  if (!broken) {
    return {
      height: toScale,
      y: (metres) => TOP + ((metres - begins) * toScale) / drawn,
      breakAt: undefined,
    };
  }
  const usedHeight = heightOf(field, used);
  const yOf = (along: number) =>
    along <= used ? (along * usedHeight) / used : usedHeight + ((along - used) * BROKEN_END) / rest;
  return {
    height: usedHeight + BROKEN_END,
    y: (metres) => TOP + yOf(metres - begins),
    breakAt: TOP + usedHeight + BROKEN_END / 2,
  };
}

function heightOf(field: Field, lengthM: number): number {
  const shortest = Math.min(...field.beds.map((bed) => bed.toM - bed.fromM));
  const wanted = Number.isFinite(shortest) && shortest > 0 ? (lengthM * BED_WANTED) / shortest : 280;
  const many = field.beds.length;
  const forCaptions = CAPTION * (many > 0 ? many : field.bad.length) + 20;
  const lowest = many > 0 ? Math.min(LOWEST, many * BED_USUAL) : LOWEST;
  return Math.max(lowest, forCaptions, Math.min(HIGHEST, Math.max(wanted, many * BED_USUAL)));
}
