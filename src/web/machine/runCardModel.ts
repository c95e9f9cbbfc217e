// What stands on a run card, worked out from the released run, its rolls and the product. Strips alternate between the
// two shafts: common practice, no source. Masses come from the roll as it was weighed, without cores.
import { woundDiameterMm } from '../../domain/filmMath.ts';
import type { RunFrom, Strip } from '../../domain/plan.ts';
import { areaM2, mmToUm, umToMm } from '../../domain/units.ts';
import type { ReleasedRun, ReleaseSeen, RollOfRelease } from '../../usecases/machine/readRelease.ts';
import { drawField } from '../drawings/picture.ts';
import { drawPattern } from '../drawings/picturePattern.ts';
import { lanesOf, tonesOf } from '../drawings/picturePlan.ts';
import type { BadPlace, Field } from '../drawings/pictureShapes.ts';
import { turnedForOperator } from '../drawings/pictureTurned.ts';
import { gapWords, plannedBlocks } from '../drawings/plannedBlocks.ts';
import { isFullWidth, webRoll } from '../drawings/webRolls.ts';
import { count, grouped } from '../words.ts';
import { progressWords, unfitOf } from './releaseForms.ts';

const shaftOf = (index: number): 'A' | 'B' => (index % 2 === 0 ? 'A' : 'B');

export function cardOf(seen: ReleaseSeen, released: ReleasedRun, liftLimitKg: number, today: string) {
  const { run } = released;
  const id = `card-${released.release}-${released.sequence}`;
  const blocks = run.from.map((from) => blockOf(seen, released, from, today));
  const webMm = blocks[0]?.widthMm ?? Math.max(...run.strips.map(({ toMm }) => toMm)) + run.trimRightMm;
  const tones = tonesOf(seen.plan);
  const kgPerM2 = blocks.map(({ perM2 }) => perM2).find((one) => one !== undefined);
  const groups = stripGroups(run.strips, seen.customers, kgPerM2, run.lengthM, liftLimitKg);
  return {
    id,
    sequence: released.sequence,
    release: released.release,
    slitter: released.slitter,
    slitterName: String(seen.slitters.get(released.slitter)?.name ?? ''),
    product: released.product,
    productName: String(seen.products.get(released.product)?.name ?? ''),
    startsOn: run.startsOn ?? '',
    setsWords: count(run.sets, 'set'),
    lengthM: grouped(run.lengthM),
    progress: released.status === 'waiting' ? '' : progressWords(released),
    webMm: grouped(webMm),
    trimLeft: grouped(run.trimLeftMm),
    trimRight: grouped(run.trimRightMm),
    knives: [run.trimLeftMm, ...run.strips.map(({ toMm }) => toMm)].map((mm) => grouped(mm)),
    pattern: drawPattern(
      `${id}-pattern`,
      'One set, knife positions in mm from the datum edge',
      webMm,
      lanesOf(run, webMm, tones),
    ),
    fields: blocks.map((block, i) => turnedField(`${id}-roll-${i}`, released, block, tones)),
    groups,
    blocks,
    ...windings(seen, released, kgPerM2, liftLimitKg),
  };
}

/** Neighbours that are alike, as one line: strips from left to right. */
function stripGroups(
  strips: readonly Strip[],
  customers: ReadonlyMap<string, string>,
  kgPerM2: number | undefined,
  lengthM: number,
  liftLimitKg: number,
) {
  const groups: { strips: Strip[]; first: number }[] = [];
  strips.forEach((strip, index) => {
    const last = groups.at(-1);
    if (last && alike(last.strips[0] as Strip, strip)) last.strips.push(strip);
    else groups.push({ strips: [strip], first: index });
  });
  return groups.map(({ strips: same, first }) => {
    const [strip] = same as [Strip];
    const widthMm = strip.toMm - strip.fromMm;
    const kg = kgPerM2 === undefined || strip.waste ? undefined : (kgPerM2 * widthMm * lengthM) / 1000;
    const last = first + same.length - 1;
    return {
      numbers: same.length === 1 ? `${first + 1}` : `${first + 1}-${last + 1}`,
      many: same.length,
      widthMm: grouped(widthMm),
      fromMm: grouped(strip.fromMm),
      toMm: grouped((same.at(-1) as Strip).toMm),
      waste: strip.waste === true,
      order: strip.waste ? 'waste strip' : (strip.order ?? 'for the shelf'),
      customer: strip.order === undefined ? '' : (customers.get(strip.order) ?? ''),
      shafts: strip.waste ? '' : shaftsOf(first, same.length),
      kg: kg === undefined ? '' : grouped(kg, 1),
      heavy: kg !== undefined && kg > liftLimitKg,
    };
  });
}

const MOST_NAMED = 4;

/** Each strip's shaft; of many, how they begin to alternate. */
const shaftsOf = (first: number, many: number): string => {
  const named = Array.from({ length: Math.min(many, MOST_NAMED) }, (_, i) => shaftOf(first + i));
  return many > MOST_NAMED ? `${named.slice(0, 2).join(' ')} ...` : named.join(' ');
};

const alike = (a: Strip, b: Strip): boolean =>
  a.order === b.order &&
  a.filler === b.filler &&
  a.waste === b.waste &&
  Math.abs(a.toMm - a.fromMm - (b.toMm - b.fromMm)) < 5e-4;

/** Core, diameter and weights: of a set, and on each shaft. */
function windings(
  seen: ReleaseSeen,
  { run, product }: ReleasedRun,
  kgPerM2: number | undefined,
  liftLimitKg: number,
) {
  const row = seen.products.get(product);
  const coreOutsideUm = row?.coreOutsideUm as number | null;
  const layerThicknessUm = row?.layerThicknessUm as number | null;
  const coreInsideUm = row?.coreInsideUm as number | null;
  const diameterMm =
    coreOutsideUm && layerThicknessUm
      ? woundDiameterMm({
          coreOutsideDiameterMm: umToMm(coreOutsideUm),
          layerThicknessUm,
          lengthM: run.lengthM,
        })
      : undefined;
  const onShaft = (shaft: 'A' | 'B') => {
    const widthMm = run.strips.reduce(
      (sum, strip, i) => sum + (strip.waste || shaftOf(i) !== shaft ? 0 : strip.toMm - strip.fromMm),
      0,
    );
    const kg = kgPerM2 === undefined ? undefined : (kgPerM2 * widthMm * run.lengthM) / 1000;
    return { shaft, kg: kg === undefined ? '' : grouped(kg, 1), heavy: kg !== undefined && kg > liftLimitKg };
  };
  return {
    core: coreInsideUm ? grouped(umToMm(coreInsideUm)) : '',
    coreOutside: coreOutsideUm ? grouped(umToMm(coreOutsideUm)) : '',
    diameterMm: diameterMm === undefined ? '' : grouped(diameterMm, 1),
    splices: grouped(Number(row?.maxSplices ?? 0)),
    shafts: [onShaft('A'), onShaft('B')],
  };
}

interface Block {
  roll: string;
  /** Why it may not be run now; empty when it may. */
  unfit: string;
  location: string;
  lot: string;
  sets: number;
  startM: string;
  endM: string;
  fromM: number;
  toM: number;
  widthMm: number;
  rollKg: string;
  /** Mass of one m2, from the roll as it was weighed. */
  perM2: number | undefined;
  /** Lead-in, or what is passed over before it. */
  before: string;
  /** Places over the full width within its sets: cut out and joined. */
  flags: string[];
  /** Bad places that the strips pass beside. */
  lanes: string[];
  bad: BadPlace[];
}

function blockOf(seen: ReleaseSeen, { run, sequence }: ReleasedRun, from: RunFrom, today: string): Block {
  const { row, code, active } = seen.rolls.find((one) => one.code === from.roll) as RollOfRelease;
  const widthMm = umToMm(row.widthUm as number);
  const { bad } = webRoll(code, seen.plan, seen.problem);
  const planned = plannedBlocks(seen.plan, seen.problem, code).find(
    (one) => one.sequence === sequence && one.startM === from.startM,
  );
  const toM = planned?.endM ?? from.startM + from.sets * run.lengthM;
  const met = bad.filter((place) => place.toM > from.startM && place.fromM < toM);
  const massKg = row.massKg as number | null;
  const lengthMm = row.lengthMm as number;
  return {
    roll: code,
    unfit: active ? unfitOf(row, today) : '',
    location: String(row.location ?? ''),
    lot: String(row.lot ?? ''),
    sets: from.sets,
    startM: grouped(from.startM, 1),
    endM: grouped(toM, 1),
    fromM: from.startM,
    toM,
    widthMm,
    rollKg: massKg ? grouped(massKg, 0) : '',
    perM2: massKg && lengthMm > 0 ? massKg / areaM2(mmToUm(widthMm), lengthMm) : undefined,
    before: planned ? gapWords(planned) : '',
    flags: met.filter((place) => isFullWidth(place, widthMm)).map(flagWords),
    lanes: met.filter((place) => !isFullWidth(place, widthMm)).map(laneWords),
    bad,
  };
}

const flagWords = ({ fromM, toM, kind }: BadPlace) => `${grouped(fromM, 1)}-${grouped(toM, 1)} m: ${kind}`;
const laneWords = ({ fromM, toM, fromMm, toMm, kind }: BadPlace) =>
  `${grouped(fromMm)}-${grouped(toMm)} mm, ${grouped(fromM, 1)}-${grouped(toM, 1)} m: ${kind}`;

/** The stretch of one roll that the run takes, the first metres at the bottom. */
function turnedField(id: string, { run, sequence }: ReleasedRun, block: Block, tones: Map<string, number>) {
  const { fromM, toM, widthMm, roll } = block;
  const field: Field = {
    id,
    title: `Run ${sequence} on roll ${roll}, seen from above as the web comes towards the winder`,
    widthMm,
    beginsM: fromM,
    lengthM: toM,
    bad: block.bad
      .filter((place) => place.toM > fromM && place.fromM < toM)
      .map((place) => ({ ...place, fromM: Math.max(fromM, place.fromM), toM: Math.min(toM, place.toM) })),
    beds: [
      {
        name: `run ${sequence}`,
        anchor: '',
        fromM,
        toM,
        sets: block.sets,
        lengthM: run.lengthM,
        lanes: lanesOf(run, widthMm, tones),
      },
    ],
    rests: [],
  };
  const size = `${grouped(fromM, 1)} to ${grouped(toM, 1)} m`;
  return { roll, name: `Roll ${roll}`, picture: turnedForOperator({ ...drawField(field), size }) };
}
