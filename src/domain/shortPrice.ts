// The default price of falling short, per m2: dearer than any way of making the order, so that a plan falls short only
// where it must. Twice the dearest conceivable way: one roll of the smallest order, alone, on a fresh roll of which
// nothing else is kept, coated and bought in the least quantity, with its own set-up, all knives moved, a year late.
import { filmMassKg, setMinutes } from './filmMath.ts';
import type { Offer, Problem, Slitter } from './problem.ts';
import { areaM2, mmToM, umToMm } from './units.ts';

/** The price per m2 that a plan pays for what it does not make: the problem's own, or the default described above. */
export function shortPricePerM2(problem: Problem): number {
  return problem.costs.perShortM2 ?? 2 * dearestPerM2(problem) + 1;
}

function dearestPerM2(problem: Problem): number {
  const smallestM2 = Math.min(...problem.orders.map((order) => areaM2(order.widthUm, order.lengthMm)));
  const work = Math.max(...problem.slitters.map((slitter) => dearestSet(problem, slitter)));
  const lateness = problem.costs.perLateRollDay * 365;
  return (dearestFilm(problem) + work + lateness + lostFillers(problem)) / smallestM2;
}

function dearestFilm(problem: Problem): number {
  const coatingPerM2 = Math.max(0, ...problem.products.map((product) => product.coating?.costPerM2 ?? 0));
  const stock = problem.rolls.map(
    (roll) => roll.costPerRoll + coatingPerM2 * areaM2(roll.widthUm, roll.lengthMm),
  );
  const bought = problem.offers.map(
    (offer) => leastPurchase(problem, offer) + coatingPerM2 * areaM2(offer.widthMaxUm, offer.rollLengthMm),
  );
  return Math.max(0, ...stock, ...bought);
}

/** The minimum order rounded up to whole rolls costs less than the minimum and one roll more. */
function leastPurchase(problem: Problem, offer: Offer): number {
  const grade = problem.grades.find((candidate) => candidate.id === offer.grade);
  if (!grade) return 0;
  const rollKg = filmMassKg({
    widthMm: umToMm(offer.widthMaxUm),
    lengthM: mmToM(offer.rollLengthMm),
    thicknessUm: grade.thicknessUm,
    densityGPerCm3: grade.densityGPerCm3,
  });
  return offer.pricePerKg * (offer.minOrderKg + rollKg);
}

/** One set by itself: its set-up, the knives of this run and of the next moved, the longest finished length run. */
function dearestSet(problem: Problem, slitter: Slitter): number {
  const lengths = [...problem.orders, ...problem.fillers].map((item) => item.lengthMm);
  const running = setMinutes({ ...slitter, lengthM: mmToM(Math.max(...lengths)) });
  const minutes =
    slitter.minutesPerSetup +
    2 * mostKnives(problem, slitter) * slitter.minutesPerKnifeMove +
    running +
    slitter.minutesPerSetChange;
  return (minutes * slitter.costPerHour) / 60;
}

function mostKnives(problem: Problem, slitter: Slitter): number {
  const widths = [...problem.orders, ...problem.fillers].map((item) => item.widthUm);
  const webs = [
    ...problem.rolls.map((roll) => roll.widthUm),
    ...problem.offers.map((offer) => offer.widthMaxUm),
  ];
  const widest = Math.min(slitter.maxWebWidthUm, Math.max(0, ...webs));
  return Math.min(slitter.maxStrips, 2 * Math.floor(widest / Math.min(...widths)) + 1) + 1;
}

/** A roll given to this order alone gives no fillers: their worth over the largest web counts as a cost too. */
function lostFillers(problem: Problem): number {
  const perM2 = problem.fillers.map(
    (filler) => filler.valuePerRoll / areaM2(filler.widthUm, filler.lengthMm),
  );
  const webs = [
    ...problem.rolls.map((roll) => areaM2(roll.widthUm, roll.lengthMm)),
    ...problem.offers.map((offer) => areaM2(offer.widthMaxUm, offer.rollLengthMm)),
  ];
  return Math.max(0, ...perM2) * Math.max(0, ...webs);
}
