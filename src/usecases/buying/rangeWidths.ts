// Which widths of a range are worth a column in the purchase: the one from which the strips take least film, and those that help
// it most; some across the range are tried.
import { leastFilm } from '../../planner/bounding/leastFilm.ts';
import type { Cutting } from '../../planner/purchase/filmCutting.ts';

const MOST_TRIED = 9;
const MOST_TAKEN = 3;
/** What helps less than this share of the film is not worth a width of its own. */
const WORTH_IT = 0.002;

export interface WidthRange {
  minUm: number;
  maxUm: number;
  stepUm: number;
}

/** `wanted`: m2 of each strip. The widest where nothing is known of strips, or none of the widths makes all of them. */
export function widthsOfRange(
  range: WidthRange,
  cutting: Cutting | undefined,
  wanted: ReadonlyMap<number, number>,
): number[] {
  const tried = widthsTried(range);
  const widest = tried.at(-1) as number;
  if (!cutting || wanted.size === 0) return [widest];
  const taken: number[] = [];
  let least = Number.POSITIVE_INFINITY;
  while (taken.length < MOST_TAKEN) {
    const others = tried.filter((width) => !taken.includes(width));
    const film = others.map((width) => leastFilm(cutting, wanted, [...taken, width]) ?? Infinity);
    const best = Math.min(...film);
    if (!(best < least * (1 - WORTH_IT))) break;
    taken.push(others[film.lastIndexOf(best)] as number);
    least = best;
  }
  return taken.length > 0 ? taken : [widest];
}

function widthsTried({ minUm, maxUm, stepUm }: WidthRange): number[] {
  const steps = Math.floor((maxUm - minUm) / stepUm);
  const stride = Math.max(1, Math.ceil(steps / (MOST_TRIED - 1)));
  const tried = Array.from({ length: Math.floor(steps / stride) + 1 }, (_, i) => minUm + i * stride * stepUm);
  const widest = minUm + steps * stepUm;
  return tried.at(-1) === widest ? tried : [...tried, widest];
}
