// Text in the pictures: how wide it will be, and how it fits into a box (level, turned, width only, or not at all).
// The server does not know the reader's font, so text is measured with the advance widths of DejaVu Sans, the widest
// of the usual system fonts: what fits by this measure fits in all of them. Units: SVG user units (px at 100 %).

const FIRST = 32;
/** Advance widths in hundredths of the font size, characters 32 to 126. */
const REGULAR = [
  32, 40, 46, 84, 64, 95, 78, 27, 39, 39, 50, 84, 32, 36, 32, 34, 64, 64, 64, 64, 64, 64, 64, 64, 64, 64, 34,
  34, 84, 84, 84, 53, 100, 68, 69, 70, 77, 63, 58, 77, 75, 29, 29, 66, 56, 86, 75, 79, 60, 79, 69, 63, 61, 73,
  68, 99, 69, 61, 69, 39, 34, 39, 84, 50, 50, 61, 63, 55, 63, 62, 35, 63, 63, 28, 28, 58, 28, 97, 63, 61, 63,
  63, 41, 52, 39, 63, 59, 82, 59, 59, 52, 64, 34, 64, 84,
];
const BOLD = [
  35, 46, 52, 84, 70, 100, 87, 31, 46, 46, 52, 84, 38, 42, 38, 37, 70, 70, 70, 70, 70, 70, 70, 70, 70, 70, 40,
  40, 84, 84, 84, 58, 100, 77, 76, 73, 83, 68, 68, 82, 84, 37, 37, 77, 64, 100, 84, 85, 73, 85, 77, 72, 68,
  81, 77, 110, 77, 72, 73, 46, 37, 46, 84, 50, 50, 67, 72, 59, 72, 68, 44, 72, 71, 34, 34, 67, 34, 104, 71,
  69, 72, 72, 49, 60, 48, 71, 65, 92, 65, 65, 58, 71, 37, 71, 84,
];
/** Anything outside the table (a Chinese or Arabic letter, say) is taken as a full square. */
const UNKNOWN = 100;

const MAIN_SIZE = 12;
const SMALL_SIZE = 10;
const PAD = 3;

/** How a line of text looks: `main` is bold and 12 px, `small` is 10 px. */
export type TextLook = 'main' | 'small';

export interface PlacedText {
  text: string;
  look: TextLook;
  /** Middle of the text along its own direction. */
  x: number;
  /** Base line; for turned text the point it turns about. */
  y: number;
  /** Reads upwards. */
  turned: boolean;
}

export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** Width of `text` in user units when drawn with `look`. */
export function textWidth(text: string, look: TextLook): number {
  const table = look === 'main' ? BOLD : REGULAR;
  const size = look === 'main' ? MAIN_SIZE : SMALL_SIZE;
  let hundredths = 0;
  for (const character of text) hundredths += table[character.codePointAt(0)! - FIRST] ?? UNKNOWN;
  return (hundredths * size) / 100;
}

/** Shortens `text` with ".." until it is at most `room` wide; empty when not even that fits. */
export function shorten(text: string, look: TextLook, room: number): string {
  if (textWidth(text, look) <= room) return text;
  for (let keep = text.length - 1; keep > 0; keep -= 1) {
    const cut = `${text.slice(0, keep)}..`;
    if (textWidth(cut, look) <= room) return cut;
  }
  return '';
}

/**
 * Places a strip's width (`main`) and what it is for (`small`) in a box: on two lines, on one, turned, the width
 * alone, the width alone turned, or nothing. The first that fits wholly is taken.
 */
export function fitLabel(box: Box, main: string, small: string): PlacedText[] {
  const wide = textWidth(main, 'main');
  const narrow = textWidth(small, 'small');
  const roomAcross = box.width - 2 * PAD;
  const roomDown = box.height - 2 * PAD;
  const gap = small === '' ? 0 : 5;
  const both = wide + gap + narrow;
  if (small !== '' && Math.max(wide, narrow) <= roomAcross && roomDown >= 25)
    return twoLines(box, main, small);
  if (both <= roomAcross && roomDown >= MAIN_SIZE) return oneLine(box, main, small, wide, gap, narrow);
  if (small !== '' && both <= roomDown && roomAcross >= MAIN_SIZE - 2)
    return turnedLine(box, main, small, wide, gap, narrow);
  if (wide <= roomAcross && roomDown >= MAIN_SIZE - 2) return oneLine(box, main, '', wide, 0, 0);
  if (wide <= roomDown && roomAcross >= MAIN_SIZE - 3) return turnedLine(box, main, '', wide, 0, 0);
  return [];
}

function twoLines(box: Box, main: string, small: string): PlacedText[] {
  const x = box.x + box.width / 2;
  const y = box.y + box.height / 2;
  return [
    { text: main, look: 'main', x, y: y - 1, turned: false },
    { text: small, look: 'small', x, y: y + 11, turned: false },
  ];
}

function oneLine(
  box: Box,
  main: string,
  small: string,
  wide: number,
  gap: number,
  narrow: number,
): PlacedText[] {
  const start = box.x + (box.width - wide - gap - narrow) / 2;
  const y = box.y + box.height / 2 + 4;
  const first: PlacedText = { text: main, look: 'main', x: start + wide / 2, y, turned: false };
  if (small === '') return [first];
  return [first, { text: small, look: 'small', x: start + wide + gap + narrow / 2, y, turned: false }];
}

function turnedLine(
  box: Box,
  main: string,
  small: string,
  wide: number,
  gap: number,
  narrow: number,
): PlacedText[] {
  const x = box.x + box.width / 2 + 4;
  const start = box.y + (box.height + wide + gap + narrow) / 2;
  const first: PlacedText = { text: main, look: 'main', x, y: start - wide / 2, turned: true };
  if (small === '') return [first];
  return [first, { text: small, look: 'small', x, y: start - wide - gap - narrow / 2, turned: true }];
}

/**
 * Moves labels apart along one line so that neighbours are at least `apart` from each other, each as near to where it
 * wants to be as order allows, inside [low, high] when there is room for all.
 * @returns the places, in the order of `wanted` (which must be ascending).
 */
export function spread(wanted: readonly number[], apart: number, low: number, high: number): number[] {
  const placed: number[] = [];
  for (const want of wanted)
    placed.push(Math.max(want, low, (placed.at(-1) ?? Number.NEGATIVE_INFINITY) + apart));
  let limit = high;
  for (let i = placed.length - 1; i >= 0; i -= 1) {
    if (placed[i]! <= limit) break;
    placed[i] = limit;
    limit -= apart;
  }
  return placed;
}
