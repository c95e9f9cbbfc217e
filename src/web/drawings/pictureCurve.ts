// The trade-off curve: every point is a full plan, set-ups across, cost without them upwards. Pure view model in SVG
// user units; views/plans/_curve.ejs draws it. The plan on the page is a filled square, the others are open circles,
// so that the two are told apart in grey.
import { ticks } from 'd3-array';
import { textWidth } from './pictureText.ts';

/** One plan of the curve, as the picture needs it. */
interface CurvePoint {
  setUps: number;
  /** Without set-ups and knife moves. */
  cost: number;
  /** Written at the point. */
  label: string;
  title: string;
  chosen: boolean;
}

export interface CurvePicture {
  width: number;
  height: number;
  frame: { x: number; y: number; width: number; height: number };
  across: { at: number; text: string }[];
  up: { at: number; text: string }[];
  line: string;
  points: (CurvePoint & { x: number; y: number; labelX: number; labelY: number })[];
}

const WIDTH = 720;
const HEIGHT = 260;
const FRAME = { x: 78, y: 26, width: 612, height: 186 };
/** Room inside the frame for labels of points at its edges. */
const INSET = 44;
const LABEL = 12;

/** Draws the curve; `write` puts a cost into words. */
export function drawCurve(points: readonly CurvePoint[], write: (cost: number) => string): CurvePicture {
  const sorted = [...points].sort((a, b) => a.setUps - b.setUps || b.cost - a.cost);
  const x = scale(
    sorted.map((point) => point.setUps),
    FRAME.x + INSET,
    FRAME.x + FRAME.width - INSET,
  );
  const y = scale(
    sorted.map((point) => point.cost),
    FRAME.y + FRAME.height - INSET / 2,
    FRAME.y + INSET / 2,
  );
  const placed = sorted.map((point) => ({ ...point, x: x.at(point.setUps), y: y.at(point.cost) }));
  const whole = ticks(x.least, x.most, 8).filter(Number.isInteger);
  return {
    width: WIDTH,
    height: HEIGHT,
    frame: FRAME,
    across: whole.map((setUps) => ({ at: x.at(setUps), text: String(setUps) })),
    up: ticks(y.least, y.most, 4).map((cost) => ({ at: y.at(cost), text: write(cost) })),
    line: placed.map((point, i) => `${i ? 'L' : 'M'}${point.x.toFixed(1)} ${point.y.toFixed(1)}`).join(''),
    points: labelled(placed),
  };
}

/** From values to places; one value alone stands in the middle. */
function scale(values: number[], from: number, to: number) {
  const least = Math.min(...values);
  const most = Math.max(...values);
  const span = most - least;
  const at = (value: number) => (span > 0 ? from + ((value - least) / span) * (to - from) : (from + to) / 2);
  return { least, most, at };
}

/** A label stands above its point, or below where the one before is too near. */
function labelled(points: (CurvePoint & { x: number; y: number })[]): CurvePicture['points'] {
  let before: { right: number; y: number } | undefined;
  return points.map((point) => {
    const half = textWidth(point.label, 'small') / 2 + 4;
    const above = point.y - LABEL;
    const meets = before && point.x - half < before.right && Math.abs(before.y - above) < LABEL;
    const labelY = meets ? point.y + 2 * LABEL : above;
    before = { right: point.x + half, y: labelY };
    return { ...point, labelX: point.x, labelY };
  });
}
