// What the purchase of base film is planned from: needs of each grade by day, offers, and what holds for all lines of one
// order of a supplier together. Days count from today, areas in m2, money in the plant's currency.
import type { Cutting } from './filmCutting.ts';

export interface BuyingOffer {
  code: string;
  supplier: string;
  grade: string;
  /** Of a range one of its widths: what is ordered of an offer in several widths is one line for its prices and its least order. */
  widthUm: number;
  rollKg: number;
  rollM2: number;
  pricePerKg: number;
  /** From so many kg in one order the second price holds for all of it. */
  breakFromKg: number | undefined;
  breakPricePerKg: number | undefined;
  minOrderKg: number;
  /** Rolls are sold in groups of so many. */
  groupRolls: number;
  /** Days from now until it can be here, its spread included. */
  earliestDay: number;
}

/** What is ordered of a supplier for one day is one order: it travels together and must be worth enough. */
export interface SupplierTerms {
  supplier: string;
  minOrderValue: number | undefined;
  containerKg: number | undefined;
  containerRolls: number | undefined;
  /** Freight of each container, full or not. */
  containerCost: number;
}

/** Strips that orders want cut by a day, over and above those wanted before; `strip` counts in the cutting's list. */
export interface StripNeed {
  strip: number;
  day: number;
  areaM2: number;
}

/** Film in the house (day 0) or on the way. */
export interface FilmThere {
  widthUm: number;
  day: number;
  areaM2: number;
}

/** What is known of the widths that orders want of a grade. */
export interface StripsOfGrade {
  cutting: Cutting;
  needs: readonly StripNeed[];
  film: readonly FilmThere[];
}

/** Film that is needed on a day beyond the day before; below 0: film on the way arrives, and so much less is missing. */
export interface NeedOnDay {
  day: number;
  areaM2: number;
}

export interface GradeNeeds {
  grade: string;
  /** By area, whatever the width: forecasts, safety stock, orders whose widths no film on offer makes. */
  needs: readonly NeedOnDay[];
  /** Film that is missing, per m2 of film and day. */
  latePerM2Day: number;
  /** Left out: all of the need is by area, and so is the film there. */
  strips?: StripsOfGrade;
}

export interface BuyingCosts {
  /** Of each order of a supplier, however many lines it has. */
  perOrder: number;
  /** Share of the price that lying in stock costs in a year. */
  holdingShare: number;
}

export interface BuyingTask {
  grades: readonly GradeNeeds[];
  offers: readonly BuyingOffer[];
  terms: readonly SupplierTerms[];
  costs: BuyingCosts;
}

/** A full pallet of so many kg holds whole rolls only; a roll heavier than it stands for one. */
export const rollsInMultiple = (multipleKg: number, rollKg: number): number =>
  Math.max(1, Math.floor(multipleKg / rollKg + 1e-9));

/** How many containers an order takes; 0 where its supplier names none. */
export function containersFor(terms: SupplierTerms | undefined, kg: number, rolls: number): number {
  const byKg = terms?.containerKg === undefined ? 0 : kg / terms.containerKg;
  const byRolls = terms?.containerRolls === undefined ? 0 : rolls / terms.containerRolls;
  return Math.ceil(Math.max(byKg, byRolls) - 1e-9);
}

/** How full its containers are: of kg and rolls, what is fuller; undefined without containers. */
export function containerFill(
  terms: SupplierTerms | undefined,
  kg: number,
  rolls: number,
): number | undefined {
  const containers = containersFor(terms, kg, rolls);
  if (containers === 0) return undefined;
  const byKg = terms?.containerKg === undefined ? 0 : kg / terms.containerKg;
  const byRolls = terms?.containerRolls === undefined ? 0 : rolls / terms.containerRolls;
  return Math.max(byKg, byRolls) / containers;
}

/** Parts of the task that share no supplier: each is a problem of its own. Grades without an offer are left out. */
export function partsOf(task: BuyingTask): BuyingTask[] {
  const parts: { grades: Set<string>; suppliers: Set<string> }[] = [];
  for (const { grade, supplier } of task.offers) {
    const touched = parts.filter((part) => part.grades.has(grade) || part.suppliers.has(supplier));
    const grades = new Set([grade, ...touched.flatMap((part) => [...part.grades])]);
    const suppliers = new Set([supplier, ...touched.flatMap((part) => [...part.suppliers])]);
    for (const part of touched) parts.splice(parts.indexOf(part), 1);
    parts.push({ grades, suppliers });
  }
  return parts.map(({ grades, suppliers }) => ({
    ...task,
    grades: task.grades.filter(({ grade }) => grades.has(grade)),
    offers: task.offers.filter(({ grade }) => grades.has(grade)),
    terms: task.terms.filter(({ supplier }) => suppliers.has(supplier)),
  }));
}
