// What a roll inherits of its parent's map. Each random chain keeps beside the map where on the first film it counts
// from; whatever was coated, wound over, turned over, used and slit, a bad place must still be that place of the film.
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type BadPlace,
  cutTo,
  inherited,
  placesOnRoll,
  rewound,
  turnedOver,
  usedFrom,
  woundOf,
} from '../../src/domain/rollMap.ts';

const LENGTH = 12_000_000;
const WIDTH = 660_000;
const streak: BadPlace = { fromMm: 0, toMm: 2_600_000, fromUm: 300_000, toUm: 306_000, kind: 'streak' };

/** A roll somewhere in a chain, and how its map's numbers are places of the first film. */
interface Piece {
  map: BadPlace[];
  lengthMm: number;
  widthUm: number;
  /** Where its outer end and left edge lie on the film, and which way its numbers run there: 1 or -1. */
  endMm: number;
  alongSign: 1 | -1;
  edgeUm: number;
  acrossSign: 1 | -1;
}
type Step = (piece: Piece) => Piece;
const flipped = (sign: 1 | -1): 1 | -1 => (sign === 1 ? -1 : 1);

const windOver: Step = (p) => ({
  ...p,
  map: rewound(p.map, p.lengthMm),
  endMm: p.endMm + p.alongSign * p.lengthMm,
  alongSign: flipped(p.alongSign),
});
const turnOver: Step = (p) => ({
  ...p,
  map: turnedOver(p.map, p.widthUm),
  edgeUm: p.edgeUm + p.acrossSign * p.widthUm,
  acrossSign: flipped(p.acrossSign),
});
const use =
  (share: number): Step =>
  (p) => {
    const usedMm = Math.floor(share * (p.lengthMm - 1));
    const endMm = p.endMm + p.alongSign * usedMm;
    return { ...p, map: usedFrom(p.map, usedMm), lengthMm: p.lengthMm - usedMm, endMm };
  };
const slit =
  (a: number, b: number, c: number, d: number): Step =>
  (p) => {
    const [fromMm, toMm] = span(a, b, p.lengthMm);
    const [fromUm, toUm] = span(c, d, p.widthUm);
    return {
      map: inherited(p.map, { fromMm, toMm, fromUm, toUm }),
      lengthMm: toMm - fromMm,
      widthUm: toUm - fromUm,
      endMm: p.endMm + p.alongSign * toMm,
      alongSign: flipped(p.alongSign),
      edgeUm: p.edgeUm + p.acrossSign * fromUm,
      acrossSign: p.acrossSign,
    };
  };

/** A span of at least 1 inside [0, whole]. */
function span(a: number, b: number, whole: number): [number, number] {
  const from = Math.floor(a * (whole - 1));
  return [from, from + 1 + Math.floor(b * (whole - from - 1))];
}

const share = fc.double({ min: 0, max: 1, noNaN: true, maxExcluded: true });
const openShare = fc.tuple(share, share, fc.boolean(), fc.boolean());
const places = fc.array(
  fc.tuple(openShare, openShare, fc.constantFrom('streak', 'gel', 'skip')).map(([along, across, kind]) => {
    const open = ([a, b, first, last]: [number, number, boolean, boolean], whole: number) => {
      const [from, to] = span(first ? 0 : a, b, whole);
      return [from, last ? null : to] as const;
    };
    const [fromMm, toMm] = open(along, LENGTH);
    const [fromUm, toUm] = open(across, WIDTH);
    return { fromMm, toMm, fromUm, toUm, kind };
  }),
  { maxLength: 6 },
);
const steps = fc.array(
  fc.oneof(
    fc.constant(windOver),
    fc.constant(turnOver),
    share.map((s) => use(s / 2)),
    fc.tuple(share, share, share, share).map(([a, b, c, d]) => slit(a / 4, b, c / 4, d)),
  ),
  { maxLength: 9 },
);

/** The places of a piece, on the first film. */
function onFilm(piece: Piece) {
  const at = (start: number, sign: number, from: number, to: number) =>
    [start + sign * from, start + sign * to].sort((x, y) => x - y);
  return placesOnRoll(piece.map, piece).map((p) => [
    p.kind,
    ...at(piece.endMm, piece.alongSign, p.fromMm, p.toMm),
    ...at(piece.edgeUm, piece.acrossSign, p.fromUm, p.toUm),
  ]);
}

/** What of the first film's places lies inside the piece's rectangle of it, found without any map function but open ends. */
function expected(map: BadPlace[], piece: Piece) {
  const [lowMm, highMm] = [piece.endMm, piece.endMm + piece.alongSign * piece.lengthMm].sort((a, b) => a - b);
  const [lowUm, highUm] = [piece.edgeUm, piece.edgeUm + piece.acrossSign * piece.widthUm].sort(
    (a, b) => a - b,
  );
  return map.flatMap((p) => {
    const box = [
      Math.max(p.fromMm, lowMm!),
      Math.min(p.toMm ?? LENGTH, highMm!),
      Math.max(p.fromUm, lowUm!),
      Math.min(p.toUm ?? WIDTH, highUm!),
    ] as const;
    return box[1] > box[0] && box[3] > box[2] ? [[p.kind, ...box]] : [];
  });
}

describe('a part of a roll', () => {
  test('loses from its map what was used from the outer end, and counts on from there', () => {
    expect(usedFrom([streak], 1_000_000)).toEqual([{ ...streak, toMm: 1_600_000 }]);
    expect(usedFrom([streak], 2_600_000)).toEqual([]);
  });

  test('counts from its own outer end and left edge', () => {
    const part = { fromMm: 2_000_000, toMm: 3_000_000, fromUm: 290_000, toUm: 400_000 };
    expect(cutTo([streak], part)).toEqual([{ ...streak, toMm: 600_000, fromUm: 10_000, toUm: 16_000 }]);
  });

  test('lies the other way round on the roll that is wound of it', () => {
    const part = { fromMm: 2_000_000, toMm: 3_000_000, fromUm: 290_000, toUm: 400_000 };
    expect(inherited([streak], part)).toEqual([
      { ...streak, fromMm: 400_000, toMm: null, fromUm: 10_000, toUm: 16_000 },
    ]);
  });

  test('that ran first lies innermost in a roll of several pieces', () => {
    const gel: BadPlace = { fromMm: 100, toMm: 200, fromUm: 0, toUm: null, kind: 'gel' };
    const band: BadPlace = { fromMm: 0, toMm: null, fromUm: 5000, toUm: 9000, kind: 'gauge band' };
    const made = woundOf([
      { places: [gel], lengthMm: 1000 },
      { places: [band], lengthMm: 500 },
    ]);
    expect(placesOnRoll(made, { lengthMm: 1500, widthUm: 10_000 })).toEqual([
      { ...gel, fromMm: 1300, toMm: 1400, toUm: 10_000 },
      { ...band, fromMm: 0, toMm: 500 },
    ]);
  });

  test('keeps a bad place where it is on the film through any chain of coat, rewind, turn-over, use and slit', () => {
    fc.assert(
      fc.property(places, steps, (map, chain) => {
        const film: Piece = {
          map,
          lengthMm: LENGTH,
          widthUm: WIDTH,
          endMm: 0,
          alongSign: 1,
          edgeUm: 0,
          acrossSign: 1,
        };
        const last = chain.reduce((piece, step) => step(piece), film);
        expect(onFilm(last)).toEqual(expected(map, last));
      }),
      { seed: 4, numRuns: 500 },
    );
  });
});
