// Stock of a grade over time as steps, week by week: above the safety stock, between it and nothing, and missing. Pure view
// model in SVG user units; views/buying/_balance.ejs draws it. What is missing is hatched, so that it shows in grey too.
import { ticks } from 'd3-array';

export interface BalancePicture {
  width: number;
  height: number;
  frame: { x: number; y: number; width: number; height: number };
  /** The level of nothing, and of the safety stock where there is one. */
  zero: number;
  safety: number | undefined;
  up: { at: number; text: string }[];
  across: { at: number; text: string }[];
  /** Stock, and the area of what is missing. */
  line: string;
  missing: string;
  /** Where it first runs short. */
  short: { x: number; text: string; anchor: 'start' | 'end' } | undefined;
}

const WIDTH = 720;
const HEIGHT = 190;
const FRAME = { x: 78, y: 22, width: 626, height: 128 };
const LABELS = 7;

export function drawBalance(
  given: {
    startM2: number;
    safetyM2: number;
    weeks: readonly { monday: string; endM2: number }[];
    shortOn: string | undefined;
  },
  write: (m2: number) => string,
): BalancePicture {
  const levels = [given.startM2, given.safetyM2, 0, ...given.weeks.map(({ endM2 }) => endM2)];
  const [least, most] = [Math.min(...levels), Math.max(...levels)];
  const span = most - least || 1;
  const y = (m2: number): number => FRAME.y + ((most - m2) / span) * FRAME.height;
  const step = FRAME.width / given.weeks.length;
  const x = (week: number): number => FRAME.x + week * step;
  const every = Math.max(1, Math.ceil(given.weeks.length / LABELS));
  const shortAt = given.weeks.findLastIndex(
    ({ monday }) => given.shortOn !== undefined && monday <= given.shortOn,
  );
  return {
    width: WIDTH,
    height: HEIGHT,
    frame: FRAME,
    zero: y(0),
    safety: given.safetyM2 > 0 ? y(given.safetyM2) : undefined,
    up: ticks(least, most, 4).map((m2) => ({ at: y(m2), text: write(m2) })),
    across: given.weeks.flatMap(({ monday }, i) =>
      i % every === 0 ? [{ at: x(i), text: monday.slice(5) }] : [],
    ),
    line: `M${at(x(0))} ${at(y(given.startM2))}${given.weeks.map(({ endM2 }, i) => `V${at(y(endM2))}H${at(x(i + 1))}`).join('')}`,
    missing: given.weeks
      .map(({ endM2 }, i) =>
        endM2 < 0 ? `M${at(x(i))} ${at(y(0))}H${at(x(i + 1))}V${at(y(endM2))}H${at(x(i))}Z` : '',
      )
      .join(''),
    short:
      given.shortOn === undefined
        ? undefined
        : {
            x: x(shortAt),
            text: `short on ${given.shortOn}`,
            anchor: shortAt > given.weeks.length / 2 ? 'end' : 'start',
          },
  };
}

const at = (value: number): string => value.toFixed(1);
