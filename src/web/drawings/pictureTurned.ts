// A drawn roll turned for the operator, who stands where the strips are wound: the metres that come first lie nearest to
// him, at the bottom. Left stays left. Pure: every shape keeps its size and changes its place.

import type { DrawnBed, FieldPicture, Line, Shape } from './pictureShapes.ts';
import type { Box, PlacedText } from './pictureText.ts';

export function turnedForOperator(picture: FieldPicture): FieldPicture {
  const { frame } = picture;
  const low = 2 * frame.y + frame.height;
  const flip = (y: number): number => low - y;
  const box = <B extends Box>(one: B): B => ({ ...one, y: flip(one.y + one.height) });
  const texts = (lines: readonly PlacedText[], by: number): PlacedText[] =>
    lines.map((line) => ({ ...line, y: line.y + by }));
  const shape = (one: Shape): Shape => {
    const turned = box(one);
    return { ...turned, text: texts(one.text, turned.y - one.y) };
  };
  const line = ({ x1, y1, x2, y2 }: Line): Line => ({ x1, x2, y1: flip(y2), y2: flip(y1) });
  const bed = (one: DrawnBed): DrawnBed => ({
    ...box(one),
    strips: one.strips.map(shape),
    knives: one.knives.map(line),
    setLines: one.setLines.map(line),
  });
  return {
    ...picture,
    along: picture.along.map((tick) => ({ ...tick, at: flip(tick.at) })),
    breakAt: picture.breakAt === undefined ? undefined : flip(picture.breakAt),
    beds: picture.beds.map(bed),
    rests: picture.rests.map(shape),
    bad: picture.bad.map(shape),
    captions: picture.captions.map((caption) => {
      const y = Math.max(frame.y, flip(caption.y) - 28);
      return { y, pointsTo: flip(caption.pointsTo), lines: texts(caption.lines, y - caption.y) };
    }),
  };
}
