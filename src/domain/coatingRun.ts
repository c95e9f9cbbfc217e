// A coating run laid out along the web: base rolls run one after the other from their outer ends; metres are lost at the
// start, at the end and where somebody says; what is left makes the coated jumbos in turn. Coating winds the web over,
// so a jumbo's map is its pieces' maps reversed; where two pieces meet lies a join. Whole mm.
import { type BadPlace, cutTo, POINT_MM, woundOf } from './rollMap.ts';

export interface BaseTaken {
  /** Metres taken from its outer end. */
  lengthMm: number;
  places: readonly BadPlace[];
}

export interface RunLoss {
  cause: string;
  lengthMm: number;
  /** Where it begins, counted along the run; null: at the end. */
  atMm: number | null;
}

/** A stretch of one base roll, in its own metres. */
export interface Piece {
  base: number;
  fromMm: number;
  toMm: number;
}

export interface LaidRun {
  jumbos: { lengthMm: number; pieces: Piece[]; map: BadPlace[] }[];
  losses: { cause: string; pieces: Piece[] }[];
}

export type RunResult =
  | { ok: true; run: LaidRun }
  /** `missingMm`: metres of the base rolls that are neither in a jumbo nor lost; negative when there are too many. */
  | { ok: false; why: 'losses-overlap' }
  | { ok: false; why: 'unbalanced'; missingMm: number };

interface Stretch {
  fromMm: number;
  toMm: number;
}

const lengthOf = ({ fromMm, toMm }: Stretch): number => toMm - fromMm;
const total = (lengths: readonly { lengthMm: number }[]): number =>
  lengths.reduce((sum, { lengthMm }) => sum + lengthMm, 0);

export function layRun(
  bases: readonly BaseTaken[],
  losses: readonly RunLoss[],
  jumboLengthsMm: readonly number[],
): RunResult {
  const endMm = total(bases);
  const lost = placeLosses(losses, endMm);
  const missingMm = endMm - total(losses) - jumboLengthsMm.reduce((sum, length) => sum + length, 0);
  if (missingMm !== 0) return { ok: false, why: 'unbalanced', missingMm };
  const good = goodStretches(lost, endMm);
  if (!good) return { ok: false, why: 'losses-overlap' };
  const piecesOf = (stretch: Stretch) => onBases(bases, stretch);
  const jumbos = shareOut(good, jumboLengthsMm).map((stretches) => {
    const pieces = stretches.flatMap(piecesOf);
    return {
      lengthMm: pieces.reduce((sum, piece) => sum + lengthOf(piece), 0),
      pieces,
      map: mapOf(bases, pieces),
    };
  });
  return {
    ok: true,
    run: { jumbos, losses: lost.map(({ cause, ...stretch }) => ({ cause, pieces: piecesOf(stretch) })) },
  };
}

/** Losses without a place lie at the end, one after the other. */
function placeLosses(losses: readonly RunLoss[], endMm: number): (Stretch & { cause: string })[] {
  let endAt = endMm - total(losses.filter(({ atMm }) => atMm === null));
  return losses
    .filter(({ lengthMm }) => lengthMm > 0)
    .map(({ cause, lengthMm, atMm }) => {
      const fromMm = atMm ?? endAt;
      if (atMm === null) endAt += lengthMm;
      return { cause, fromMm, toMm: fromMm + lengthMm };
    })
    .sort((a, b) => a.fromMm - b.fromMm);
}

/** What lies between the losses; undefined when two of them overlap or one lies outside the run. */
function goodStretches(lost: readonly Stretch[], endMm: number): Stretch[] | undefined {
  const good: Stretch[] = [];
  let at = 0;
  for (const { fromMm, toMm } of lost) {
    if (fromMm < at || toMm > endMm) return undefined;
    good.push({ fromMm: at, toMm: fromMm });
    at = toMm;
  }
  return [...good, { fromMm: at, toMm: endMm }].filter((stretch) => lengthOf(stretch) > 0);
}

/** The good stretches dealt out to jumbos of these lengths, in turn. */
function shareOut(good: readonly Stretch[], lengthsMm: readonly number[]): Stretch[][] {
  const left = good.map((stretch) => ({ ...stretch }));
  return lengthsMm.map((lengthMm) => {
    const taken: Stretch[] = [];
    let wanted = lengthMm;
    while (wanted > 0 && left[0]) {
      const take = Math.min(wanted, lengthOf(left[0]));
      taken.push({ fromMm: left[0].fromMm, toMm: left[0].fromMm + take });
      left[0].fromMm += take;
      wanted -= take;
      if (lengthOf(left[0]) === 0) left.shift();
    }
    return taken;
  });
}

/** A stretch of the run as stretches of the base rolls that it crosses. */
function onBases(bases: readonly BaseTaken[], { fromMm, toMm }: Stretch): Piece[] {
  const pieces: Piece[] = [];
  let beginsMm = 0;
  bases.forEach(({ lengthMm }, base) => {
    const from = Math.max(fromMm, beginsMm) - beginsMm;
    const to = Math.min(toMm, beginsMm + lengthMm) - beginsMm;
    if (to > from) pieces.push({ base, fromMm: from, toMm: to });
    beginsMm += lengthMm;
  });
  return pieces;
}

function mapOf(bases: readonly BaseTaken[], pieces: readonly Piece[]): BadPlace[] {
  const maps = pieces.map(({ base, fromMm, toMm }) => ({
    places: cutTo(bases[base]?.places ?? [], { fromMm, toMm, fromUm: 0, toUm: Infinity }),
    lengthMm: toMm - fromMm,
  }));
  return [...woundOf(maps), ...joinsOf(maps)];
}

/** Counted from the outer end: the piece that ran last lies outermost. */
function joinsOf(pieces: readonly { lengthMm: number }[]): BadPlace[] {
  let atMm = total(pieces);
  return pieces.slice(0, -1).map(({ lengthMm }) => {
    atMm -= lengthMm;
    const fromMm = Math.max(0, atMm - POINT_MM / 2);
    return { fromMm, toMm: atMm + POINT_MM / 2, fromUm: 0, toUm: null, kind: 'join' };
  });
}
