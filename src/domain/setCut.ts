// One set as it was really cut: what it took of its roll, what it made, and where every milligram went. Pure arithmetic;
// the ledger books its shares. Whole um across, whole mm along, whole mg; positions from the roll's outer end as it lies
// before the set. Mass is shared by area, the roll being alike all over; the rounding rest stays within the set.
import { type BadPlace, cutTo, usedFrom, woundOf } from './rollMap.ts';
import { LOSS, scrapOf } from './stockWords.ts';

export interface RollOnMachine {
  widthUm: number;
  lengthMm: number;
  /** Undefined when nobody has weighed it. */
  massMg: number | undefined;
  places: readonly BadPlace[];
}

/** A stretch that was cut out over the full width. */
export interface CutOut {
  fromMm: number;
  toMm: number;
  kind: string;
}

/** One lane between two knives that is not edge trim. */
export interface StripCut {
  fromUm: number;
  toUm: number;
  /** Slit out as waste: no roll is wound. */
  waste: boolean;
  /** Why it is no good, when it is not. */
  scrap?: string | undefined;
  /** Wound length when it ended early. */
  shortMm?: number | undefined;
  /** Joins that this strip alone has. */
  splices?: number | undefined;
}

export interface SetTaken {
  /** Lost before the set: the thread-up, or metres passed over. */
  passedMm: number;
  threadUp: boolean;
  lengthMm: number;
  tailMm: number;
  cutOuts: readonly CutOut[];
  strips: readonly StripCut[];
}

/** What leaves the roll; length and mass are positive here. */
export interface Share {
  side: 'out' | 'loss';
  cause: string;
  lengthMm: number;
  massMg: number;
}

export interface RollMade {
  /** Place of its strip in the set, from the left, from 0. */
  strip: number;
  widthUm: number;
  lengthMm: number;
  massMg: number;
  places: BadPlace[];
  splices: number;
}

export interface SetCut {
  usedMm: number;
  shares: Share[];
  made: RollMade[];
  /** The map of what is left of the roll. */
  left: BadPlace[];
}

interface Piece {
  fromMm: number;
  toMm: number;
}

/** The set's good pieces along the roll, what was cut out between them, and where it ends. */
export function layPieces(set: Pick<SetTaken, 'passedMm' | 'lengthMm' | 'cutOuts'>): {
  pieces: Piece[];
  cutOutMm: number;
  endMm: number;
} {
  const pieces: Piece[] = [];
  let at = set.passedMm;
  let needed = set.lengthMm;
  let cutOutMm = 0;
  for (const { fromMm, toMm } of [...set.cutOuts].sort((a, b) => a.fromMm - b.fromMm)) {
    if (toMm <= at || fromMm >= at + needed) continue;
    const begin = Math.max(fromMm, at);
    if (begin > at) pieces.push({ fromMm: at, toMm: begin });
    needed -= begin - at;
    cutOutMm += toMm - begin;
    at = toMm;
  }
  pieces.push({ fromMm: at, toMm: at + needed });
  return { pieces, cutOutMm, endMm: at + needed };
}

/** Takes one set from the roll. The caller has seen to it that the roll is long enough. */
export function cutSet(roll: RollOnMachine, set: SetTaken): SetCut {
  const { pieces, cutOutMm, endMm } = layPieces(set);
  const usedMm = endMm + set.tailMm;
  const parts = partsOf(roll.widthUm, set, cutOutMm);
  const totalMg = massOf(roll, usedMm);
  const masses = shared(
    totalMg,
    parts.map((part) => part.area),
  );
  const made: RollMade[] = [];
  const shares = new Map<string, Share>();
  parts.forEach((part, i) => {
    const massMg = masses[i] as number;
    if (part.strip !== undefined)
      made.push(rollOf(roll, set, pieces, { strip: part.strip, lengthMm: part.lengthMm, massMg }));
    const side = part.strip === undefined ? 'loss' : 'out';
    const share = shares.get(part.cause) ?? { side, cause: part.cause, lengthMm: 0, massMg: 0 };
    share.massMg += massMg;
    share.lengthMm = Math.max(share.lengthMm, part.alongMm);
    shares.set(part.cause, share);
  });
  return { usedMm, shares: [...shares.values()], made, left: usedFrom(roll.places, usedMm) };
}

/** Mass of so many metres of a roll; the last metres take what is left. */
export function massOf(roll: Pick<RollOnMachine, 'lengthMm' | 'massMg'>, lengthMm: number): number {
  if (!roll.massMg || roll.lengthMm === 0) return 0;
  return lengthMm >= roll.lengthMm ? roll.massMg : Math.round((roll.massMg * lengthMm) / roll.lengthMm);
}

/** Shares a whole amount by weights so that the shares add up to it exactly. */
export function shared(amount: number, weights: readonly number[]): number[] {
  const sum = weights.reduce((a, b) => a + b, 0);
  let before = 0;
  let given = 0;
  return weights.map((weight) => {
    before += weight;
    const upTo = sum === 0 ? 0 : Math.round(amount * (before / sum));
    const share = upTo - given;
    given = upTo;
    return share;
  });
}

interface Part {
  cause: string;
  area: number;
  /** Metres of the whole web that it accounts for; 0 for lanes. */
  alongMm: number;
  /** The strip that is wound, and how long. */
  strip?: number;
  lengthMm: number;
}

const CUT = 'cut';

function partsOf(widthUm: number, set: SetTaken, cutOutMm: number): Part[] {
  const { lengthMm } = set;
  const across = (cause: string, alongMm: number): Part => ({
    cause,
    area: widthUm * alongMm,
    alongMm,
    lengthMm: 0,
  });
  const lanes = set.strips.flatMap((strip, index) => stripParts(strip, index, lengthMm));
  const slitUm = set.strips.reduce((sum, strip) => sum + strip.toUm - strip.fromUm, 0);
  lanes.push(lane(LOSS.edgeTrim, widthUm - slitUm, lengthMm));
  // The finished length went out with the rolls; when none was wound it is lost with the scrap.
  const main =
    lanes.find((part) => part.strip !== undefined) ?? lanes.find((part) => part.cause.startsWith('scrap'));
  (main ?? (lanes.at(-1) as Part)).alongMm = lengthMm;
  return [
    across(set.threadUp ? LOSS.leadIn : LOSS.passedOver, set.passedMm),
    across(LOSS.cutOut, cutOutMm),
    ...lanes,
    across(LOSS.tail, set.tailMm),
  ];
}

const lane = (cause: string, widthUm: number, lengthMm: number): Part => ({
  cause,
  area: widthUm * lengthMm,
  alongMm: 0,
  lengthMm: 0,
});

function stripParts(strip: StripCut, index: number, lengthMm: number): Part[] {
  const widthUm = strip.toUm - strip.fromUm;
  if (strip.waste) return [lane(LOSS.wasteStrip, widthUm, lengthMm)];
  if (strip.scrap !== undefined) return [lane(scrapOf(strip.scrap), widthUm, lengthMm)];
  const woundMm = Math.min(strip.shortMm ?? lengthMm, lengthMm);
  const wound = { ...lane(CUT, widthUm, woundMm), strip: index, lengthMm: woundMm };
  return woundMm === lengthMm ? [wound] : [wound, lane(LOSS.shortRoll, widthUm, lengthMm - woundMm)];
}

function rollOf(
  roll: RollOnMachine,
  set: SetTaken,
  pieces: readonly Piece[],
  { strip, lengthMm, massMg }: { strip: number; lengthMm: number; massMg: number },
): RollMade {
  const { fromUm, toUm, splices = 0 } = set.strips[strip] as StripCut;
  const wound = firstOf(pieces, lengthMm);
  const maps = wound.map(({ fromMm, toMm }) => ({
    places: cutTo(roll.places, { fromMm, toMm, fromUm, toUm }),
    lengthMm: toMm - fromMm,
  }));
  return {
    strip,
    widthUm: toUm - fromUm,
    lengthMm,
    massMg,
    places: woundOf(maps),
    splices: wound.length - 1 + splices,
  };
}

/** The pieces up to so many good metres: a short roll ends early. */
function firstOf(pieces: readonly Piece[], lengthMm: number): Piece[] {
  let left = lengthMm;
  return pieces.flatMap(({ fromMm, toMm }) => {
    const take = Math.min(left, toMm - fromMm);
    left -= take;
    return take > 0 ? [{ fromMm, toMm: fromMm + take }] : [];
  });
}

/** The map of a roll when the last metres taken are put back on its outer end; `before`: as it was before they went. */
export function putBack(now: readonly BadPlace[], before: readonly BadPlace[], usedMm: number): BadPlace[] {
  if (mapText(now) === mapText(usedFrom(before, usedMm))) return [...before];
  const returned = before
    .filter((place) => place.fromMm < usedMm)
    .map((place) => ({ ...place, toMm: Math.min(place.toMm ?? usedMm, usedMm) }));
  const moved = now.map((place) => ({
    ...place,
    fromMm: place.fromMm + usedMm,
    toMm: place.toMm === null ? null : place.toMm + usedMm,
  }));
  return [...returned, ...moved];
}

/** Equal for equal maps, whatever order their fields came in from the database. */
const mapText = (places: readonly BadPlace[]): string =>
  JSON.stringify(places.map(({ fromMm, toMm, fromUm, toUm, kind }) => [fromMm, toMm, fromUm, toUm, kind]));
