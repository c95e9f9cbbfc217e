// Film that can be bought: each offered width of each offer is a stock item of its own, of base film that arrives after
// the lead time, as many rolls as could be useful. What is bought is paid for whole, cut or not, so that to begin one
// more roll never looks like a gain. What links the widths of an offer is its minimum order. Masses in kg.
import { filmMassKg } from '../../domain/filmMath.ts';
import type { Offer, Problem, StockRoll } from '../../domain/problem.ts';
import { addDays, mmToM, type Um, um, umToMm } from '../../domain/units.ts';
import type { Bought, Demand, Model } from './model.ts';
import type { RollGroup } from './sources.ts';

/** One stock item for every offered width that some product is coated on; widths of an offer from wide to narrow. */
export function offeredRolls(problem: Problem, demands: Demand[]): RollGroup[] {
  const count = demands.reduce((sum, demand) => sum + demand.max, 0);
  return problem.offers.flatMap((offer, o) =>
    isWanted(problem, offer, demands)
      ? widthsOf(offer).map((widthUm) => offeredRoll(problem, offer, o, widthUm, count))
      : [],
  );
}

function isWanted(problem: Problem, offer: Offer, demands: Demand[]): boolean {
  return problem.products.some(
    ({ id, coating }) =>
      coating?.grades.includes(offer.grade) && demands.some((d) => d.product === id && d.max > 0),
  );
}

function widthsOf({ widthMinUm, widthMaxUm, widthStepUm }: Offer): Um[] {
  if (widthMinUm === widthMaxUm) return [widthMaxUm];
  const steps = Math.floor((widthMaxUm - widthMinUm) / widthStepUm);
  return Array.from({ length: steps + 1 }, (_, k) => um(widthMinUm + (steps - k) * widthStepUm));
}

function offeredRoll(problem: Problem, offer: Offer, o: number, widthUm: Um, count: number): RollGroup {
  const kg = rollKg(problem, offer, widthUm);
  const cost = kg * offer.pricePerKg;
  const roll: StockRoll = {
    ...{ id: offer.id, kind: 'base', item: offer.grade, widthUm, lengthMm: offer.rollLengthMm, count },
    ...{ useBy: undefined, costPerRoll: cost, defects: [] },
    readyOn: problem.planOn && addDays(problem.planOn, offer.leadTimeDays),
  };
  return { roll, count, nameOf: (k) => `${offer.id}#${k + 1}`, bought: { offer: o, kg, cost, widthUm } };
}

function rollKg(problem: Problem, { grade: id, rollLengthMm }: Offer, widthUm: Um): number {
  const grade = problem.grades.find((candidate) => candidate.id === id);
  if (!grade) return 0;
  const { thicknessUm, densityGPerCm3 } = grade;
  return filmMassKg({ widthMm: umToMm(widthUm), lengthM: mmToM(rollLengthMm), thicknessUm, densityGPerCm3 });
}

/** The rolls of each stock item that must be bought when these are used: more where a minimum order asks for them. */
export function rollsToBuy(model: Model, used: number[]): number[] {
  const bought = model.stock.map((item, s) => (item.bought ? used[s] : 0));
  model.offers.forEach(({ minKg }, o) => {
    const items = itemsOf(model, o);
    const kg = items.reduce((sum, { s, item }) => sum + bought[s] * item.kg, 0);
    if (kg === 0 || kg >= minKg - MASS) return;
    for (const [s, n] of leastMass(items, minKg - kg)) bought[s] += n;
  });
  return bought;
}

/** Less than this is no mass missing, kg. */
const MASS = 1e-6;
const MOST_STATES = 20_000;

/** The items of one offer, with their places in the stock. */
export function itemsOf(model: Model, offer: number): { s: number; item: Bought }[] {
  return model.stock.flatMap(({ bought: item }, s) => (item?.offer === offer ? [{ s, item }] : []));
}

/**
 * Rolls that weigh at least `missingKg`, and as little as possible (the price per kg is one for all widths). Every mass
 * below the missing one that rolls can add up to is reached once; from each, any roll may be the last.
 */
function leastMass(items: { s: number; item: Bought }[], missingKg: number): Map<number, number> {
  const reached = [{ kg: 0, last: -1, from: -1 }];
  const known = new Set([0]);
  let best = { kg: Infinity, last: -1, from: -1 };
  for (let at = 0; at < reached.length; at++) {
    for (const [i, { item }] of items.entries()) {
      const kg = reached[at].kg + item.kg;
      const next = { kg, last: i, from: at };
      if (kg >= missingKg - MASS) {
        if (kg < best.kg - MASS) best = next;
        continue;
      }
      const key = Math.round(kg / MASS);
      if (known.has(key) || reached.length >= MOST_STATES) continue;
      known.add(key);
      reached.push(next);
    }
  }
  const rolls = new Map<number, number>();
  for (let state = best; state.last >= 0; state = reached[state.from]) {
    const { s } = items[state.last];
    rolls.set(s, (rolls.get(s) ?? 0) + 1);
  }
  return rolls;
}

/** The number, among all rolls bought of its offer, of the first roll of each stock item. */
export function firstNumbers(model: Model, bought: number[]): number[] {
  const next = model.offers.map(() => 0);
  return model.stock.map((item, s) => {
    if (!item.bought) return 0;
    const first = next[item.bought.offer];
    next[item.bought.offer] += bought[s];
    return first;
  });
}
