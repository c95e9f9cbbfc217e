// A roll as it lies on the unwind, wherever it comes from: stock, base film once coated, a purchase. Coating turns a roll
// round: its outer end is the base film's inner end, left stays left. Units: decimal mm and m.
import type { Plan, RunFrom } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import type { BadPlace } from './pictureShapes.ts';

export interface WebRoll {
  /** A product; for film that the plan coats, the product and the film. */
  item: string;
  widthMm: number;
  lengthM: number;
  bad: BadPlace[];
  /** What the runs leave of it is still base film. */
  restIsFilm: boolean;
}

/** The single roll of this name in the plan. */
export function webRoll(name: string, plan: Plan, problem: Problem): WebRoll {
  const raw = stockRoll(name, problem) ?? boughtRoll(name, plan, problem);
  const step = plan.coating.find((one) => one.roll === name);
  if (!step) return raw;
  const lossMm = problem.products.find(({ id }) => id === step.product)?.coating?.lossMm ?? 0;
  const left = plan.stubs.find((one) => one.roll === name)?.lengthM ?? 0;
  const end = mmToM(lossMm) + step.lengthM;
  const bad = raw.bad
    .map((place) => ({
      ...place,
      fromM: Math.max(0, end - place.toM),
      toM: Math.min(step.lengthM, end - place.fromM),
    }))
    .filter((place) => place.fromM < place.toM);
  const lengthM = step.lengthM + left;
  return { ...raw, bad, lengthM, item: `${step.product} on ${raw.item}`, restIsFilm: true };
}

function stockRoll(name: string, problem: Problem): WebRoll | undefined {
  const stem = stemOf(name);
  const roll = problem.rolls.find((one) => one.id === name) ?? problem.rolls.find((one) => one.id === stem);
  if (!roll) return undefined;
  const bad = roll.defects.map((defect) => ({
    fromM: mmToM(defect.fromMm),
    toM: mmToM(Math.min(defect.toMm, roll.lengthMm)),
    fromMm: umToMm(defect.fromUm),
    toMm: umToMm(Math.min(defect.toUm, roll.widthUm)),
    kind: defect.kind,
  }));
  const size = { widthMm: umToMm(roll.widthUm), lengthM: mmToM(roll.lengthMm) };
  return { ...size, item: roll.item, bad, restIsFilm: false };
}

/** Bought rolls are numbered through all purchases of their offer, which may be of several widths. */
function boughtRoll(name: string, plan: Plan, problem: Problem): WebRoll {
  const offer = problem.offers.find((one) => one.id === stemOf(name));
  const purchase = offer && purchaseOf(name, plan);
  if (!offer) throw new Error(`the plan uses roll ${name}, which its problem does not have`);
  const widthMm = purchase?.widthMm ?? umToMm(offer.widthMaxUm);
  return { item: offer.grade, widthMm, lengthM: mmToM(offer.rollLengthMm), bad: [], restIsFilm: false };
}

/** The purchase that a bought roll belongs to; undefined for a roll from stock. */
export function purchaseOf(name: string, plan: Plan): Plan['purchases'][number] | undefined {
  let number = Number(/#(\d+)$/.exec(name)?.[1] ?? 1);
  for (const purchase of plan.purchases.filter(({ offer }) => offer === stemOf(name))) {
    if (number <= purchase.rolls) return purchase;
    number -= purchase.rolls;
  }
  return undefined;
}

const stemOf = (name: string) => name.replace(/#\d+$/, '');

/** Goes the bad place across the whole web? Then no strip passes beside it. */
export const isFullWidth = (bad: BadPlace, widthMm: number) => bad.fromMm <= 0 && bad.toMm >= widthMm;

/** Metres at which the last of these sets ends; full-width bad places on the way are cut out and spliced. */
export function endOfSets(from: RunFrom, perSet: { lengthM: number; tailM: number }, roll: WebRoll): number {
  const flags = roll.bad.filter((bad) => isFullWidth(bad, roll.widthMm)).sort((a, b) => a.fromM - b.fromM);
  let at = from.startM;
  for (let set = 0; set < from.sets; set++) {
    let needed = perSet.lengthM;
    for (const flag of flags) {
      if (flag.toM <= at || flag.fromM >= at + needed) continue;
      needed -= Math.max(0, flag.fromM - at);
      at = flag.toM;
    }
    at += needed + perSet.tailM;
  }
  return at;
}
