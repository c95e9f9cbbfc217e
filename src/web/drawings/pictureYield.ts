// Two charts of the yield page: losses in the order of their size with what they add up to, and yield by week, planned
// and actual. Pure view models in SVG user units; views/yield.ejs draws them. Planned is an open circle, actual a filled
// one, so that they are told apart in grey.
import { ticks } from 'd3-array';
import type { Loss, YieldOf } from '../../domain/yieldAccount.ts';
import { grouped } from '../words.ts';
import { shorten } from './pictureText.ts';

const WIDTH = 720;
const FRAME = { x: 58, y: 30, width: 610, height: 180 };
const FOOT = 46;
const MOST_BARS = 10;
const BAR_SHARE = 0.62;
/** Small text of charts is 11 px, measured as 10. */
const DRAWN_LARGER = 1.1;

interface Tick {
  at: number;
  text: string;
}

interface Chart {
  width: number;
  height: number;
  frame: typeof FRAME;
  up: Tick[];
}

export interface ParetoPicture extends Chart {
  bars: {
    x: number;
    y: number;
    width: number;
    height: number;
    middle: number;
    label: string;
    title: string;
    value: string;
  }[];
  right: Tick[];
  line: string;
  dots: { x: number; y: number }[];
}

/** Bars of the largest losses; what is left over is one bar at the end. */
export function drawPareto(losses: readonly Loss[]): ParetoPicture {
  const shown = together(losses);
  const most = Math.max(...shown.map(({ actualM2 }) => actualM2), 1e-9);
  const y = upFrom(0, most);
  const step = FRAME.width / shown.length;
  const bars = shown.map((loss, i) => {
    const x = FRAME.x + i * step + (step * (1 - BAR_SHARE)) / 2;
    const top = y(loss.actualM2);
    return {
      x,
      y: top,
      width: step * BAR_SHARE,
      height: FRAME.y + FRAME.height - top,
      middle: FRAME.x + (i + 0.5) * step,
      label: shorten(loss.cause.replace(/^scrap: /, ''), 'small', (step - 6) / DRAWN_LARGER),
      value: grouped(loss.actualM2, loss.actualM2 < 10 ? 1 : 0),
      title: `${loss.cause}: ${grouped(loss.actualM2, 1)} m2, ${percent(loss.share)} of all losses`,
    };
  });
  const share = upFrom(0, 1);
  const dots = shown.map((loss, i) => ({ x: FRAME.x + (i + 0.5) * step, y: share(loss.upTo) }));
  return {
    ...chart(ticks(0, most, 4).map((value) => ({ at: y(value), text: grouped(value, 1) }))),
    bars,
    right: [0, 0.5, 1].map((value) => ({ at: share(value), text: percent(value) })),
    line: pathOf(dots),
    dots,
  };
}

function together(losses: readonly Loss[]): Loss[] {
  if (losses.length <= MOST_BARS) return [...losses];
  const [first, rest] = [losses.slice(0, MOST_BARS - 1), losses.slice(MOST_BARS - 1)];
  const sum = (of: (loss: Loss) => number) => rest.reduce((total, loss) => total + of(loss), 0);
  const others = { cause: `${rest.length} others`, plannedM2: 0, actualKg: 0, cost: null, upTo: 1 };
  return [
    ...first,
    { ...others, actualM2: sum(({ actualM2 }) => actualM2), share: sum(({ share }) => share) },
  ];
}

export interface WeeksPicture extends Chart {
  across: Tick[];
  planned: { x: number; y: number; title: string }[];
  actual: { x: number; y: number; title: string }[];
  plannedLine: string;
  actualLine: string;
}

/** Yield by week; weeks in which nothing was cut leave a gap in time, not in the line. */
export function drawWeeks(weeks: readonly YieldOf[]): WeeksPicture {
  const values = weeks.flatMap(({ planned, actual }) => [planned, actual]).filter((one) => one !== undefined);
  const least = Math.min(1, ...values);
  const low = Math.max(0, Math.floor(least * 20 - 0.5) / 20);
  const y = upFrom(low, 1);
  const [first, last] = [weeks[0], weeks.at(-1)].map((one) => Date.parse(one?.key ?? '')) as [number, number];
  const x = (week: string) =>
    last > first
      ? FRAME.x + 20 + ((Date.parse(week) - first) / (last - first)) * (FRAME.width - 40)
      : FRAME.x + FRAME.width / 2;
  const points = (which: 'planned' | 'actual') =>
    weeks.flatMap((week) => {
      const value = week[which];
      if (value === undefined) return [];
      return [{ x: x(week.key), y: y(value), title: `Week of ${week.key}: ${which} ${percent(value, 1)}` }];
    });
  const [planned, actual] = [points('planned'), points('actual')];
  const every = Math.ceil(weeks.length / 9);
  return {
    ...chart(ticks(low, 1, 4).map((value) => ({ at: y(value), text: percent(value) }))),
    across: weeks
      .filter((_week, i) => i % every === 0)
      .map(({ key }) => ({ at: x(key), text: key.slice(5) })),
    planned,
    actual,
    plannedLine: pathOf(planned),
    actualLine: pathOf(actual),
  };
}

export const percent = (share: number, decimals = 0): string =>
  `${(100 * share).toLocaleString('en-GB', { minimumFractionDigits: decimals, maximumFractionDigits: decimals })} %`;

const upFrom = (least: number, most: number) => (value: number) =>
  FRAME.y + FRAME.height - ((value - least) / (most - least)) * FRAME.height;
const pathOf = (points: readonly { x: number; y: number }[]): string =>
  points.map(({ x, y }, i) => `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join('');
const chart = (up: Tick[]): Chart => ({
  width: WIDTH,
  height: FRAME.y + FRAME.height + FOOT,
  frame: FRAME,
  up,
});
