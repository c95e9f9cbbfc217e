// The single rolls that a run may name: from stock (id, or id#k of several), bought (offer#k), base film once coated.
// A coated roll is the base roll turned round: its outer end is the base roll's inner end, left stays left.
import type { CoatingStep, Plan } from '../../domain/plan.ts';
import type { Coating, Defect, Problem } from '../../domain/problem.ts';
import type { IsoDate, Mm } from '../../domain/units.ts';
import { addDays, areaM2, mToMm } from '../../domain/units.ts';
import type { RawRoll } from './boughtRolls.ts';
import { boughtRolls } from './boughtRolls.ts';

/** One roll as it lies on the unwind: coated, bought or from stock. */
export interface WebRoll extends RawRoll {
  /** undefined: base film that the plan does not coat. */
  product: string | undefined;
  /** The film it is made of: its whole length, and what the coater loses of it before the web begins. */
  filmLengthMm: Mm;
  lossMm: Mm;
  /** Web that the plan coats: used so far, whether sets reach so far or not; 0 for rolls that come coated. */
  coatedMm: Mm;
  /** An old stub of the stock. */
  isStub: boolean;
  /** Cost of coating it. */
  coatingCost: number;
}

/** Finds the single roll of a name, as the plan lets it be slit. */
export function rollFinder(problem: Problem, plan: Plan): (name: string) => WebRoll | undefined {
  const stock = new Map(problem.rolls.map((roll) => [roll.id, roll]));
  const bought = boughtRolls(problem, plan);
  const coated = new Map(plan.coating.map((step) => [step.roll, step]));
  return (name) => {
    const base = bought.get(name);
    if (base) return asCoated(problem, base, coated.get(name));
    const roll = stockRoll(stock, name);
    if (!roll || roll.product !== undefined) return roll;
    return asCoated(problem, roll, coated.get(name));
  };
}

function stockRoll(stock: Map<string, Problem['rolls'][number]>, name: string): WebRoll | undefined {
  const whole = stock.get(name);
  const single = /^(.*)#([1-9]\d*)$/.exec(name);
  const many = single ? stock.get(single[1] ?? '') : undefined;
  const roll =
    whole?.count === 1
      ? whole
      : many && many.count > 1 && Number(single?.[2]) <= many.count
        ? many
        : undefined;
  if (!roll) return undefined;
  const product = roll.kind === 'base' ? undefined : roll.item;
  const { widthUm, lengthMm, defects, readyOn, useBy } = roll;
  const inputM2 = areaM2(widthUm, lengthMm);
  return {
    name,
    product,
    widthUm,
    lengthMm,
    defects,
    inputM2,
    cost: roll.costPerRoll,
    bought: false,
    readyOn,
    useBy,
    filmLengthMm: lengthMm,
    lossMm: 0 as Mm,
    coatedMm: 0 as Mm,
    isStub: roll.kind === 'stub',
    coatingCost: 0,
  };
}

/**
 * Base film after coating, as long as its step says; what is not coated stays base film. Without a coating step it
 * stays base film altogether and no run may take it.
 */
function asCoated(problem: Problem, raw: RawRoll, step: CoatingStep | undefined): WebRoll {
  const coating = problem.products.find(({ id }) => id === step?.product)?.coating;
  const none = 0 as Mm;
  const film = {
    ...raw,
    filmLengthMm: raw.lengthMm,
    lossMm: none,
    coatedMm: none,
    isStub: false,
    coatingCost: 0,
    product: undefined,
  };
  if (!step || !coating) return film;
  const lengthMm = mToMm(step.lengthM);
  const coatedUm = raw.widthUm - coating.coatFreeEdgeUm.left - coating.coatFreeEdgeUm.right;
  return {
    ...film,
    product: step.product,
    lengthMm,
    lossMm: coating.lossMm,
    coatedMm: lengthMm,
    defects: turnedRound(raw, coating.lossMm + lengthMm, lengthMm),
    coatingCost: coating.costPerM2 * areaM2(coatedUm, lengthMm),
    readyOn: coatedOn(problem, raw, coating),
    // The film's own date ends with the coating; the supply clause holds the coating to it.
    useBy: undefined,
  };
}

function coatedOn(problem: Problem, raw: RawRoll, coating: Coating): IsoDate | undefined {
  const days = [problem.planOn, raw.readyOn].filter((day) => day !== undefined).sort();
  const start = days.at(-1);
  return start && addDays(start, coating.leadDays);
}

/** The coater takes the film from its outer end up to `endMm`, which becomes the outer end of the coated roll. */
function turnedRound(raw: RawRoll, endMm: number, lengthMm: number): Defect[] {
  return raw.defects
    .map((defect) => ({
      ...defect,
      fromMm: Math.max(0, endMm - defect.toMm) as Mm,
      toMm: Math.min(lengthMm, endMm - defect.fromMm) as Mm,
    }))
    .filter((defect) => defect.fromMm < defect.toMm);
}

export function fullWidthDefects(roll: WebRoll): Defect[] {
  return roll.defects.filter((defect) => defect.fromUm <= 0 && defect.toUm >= roll.widthUm);
}

/** The metres that one cut each takes out: full-width bad places in order, those that touch as one. */
export function cutOuts(roll: WebRoll): { fromMm: number; toMm: number }[] {
  const joined: { fromMm: number; toMm: number }[] = [];
  for (const { fromMm, toMm } of fullWidthDefects(roll).sort((a, b) => a.fromMm - b.fromMm)) {
    const last = joined.at(-1);
    if (last && fromMm <= last.toMm) last.toMm = Math.max(last.toMm, toMm);
    else joined.push({ fromMm, toMm });
  }
  return joined;
}
