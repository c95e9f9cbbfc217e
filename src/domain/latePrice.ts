// The price of a roll that is a day late, where the problem names none: a twentieth of the film in an average ordered
// roll, so that twenty days late weigh as much as its film. Common practice, no source: enough that film in time goes
// before film that is a little cheaper and weeks late. Nothing has a date without a day of planning, so nothing is late.
import { filmMassKg } from './filmMath.ts';
import type { Problem } from './problem.ts';
import { areaM2, mmToM, umToMm } from './units.ts';

const DAYS_WORTH_THE_FILM = 20;

export function usualLateRollDay(problem: Problem): number {
  const { orders, planOn } = problem;
  if (!planOn || orders.every(({ dueOn }) => dueOn === undefined)) return 0;
  const rolls = orders.reduce((sum, order) => sum + order.rolls, 0);
  const area = orders.reduce((sum, order) => sum + order.rolls * areaM2(order.widthUm, order.lengthMm), 0);
  return (filmPerM2(problem) * area) / rolls / DAYS_WORTH_THE_FILM;
}

/** Mean cost of a square metre of the film there is, one roll of each offer included. */
function filmPerM2({ rolls, offers, grades }: Problem): number {
  const stock = rolls.map(({ widthUm, lengthMm, count, costPerRoll }) => ({
    area: count * areaM2(widthUm, lengthMm),
    cost: count * costPerRoll,
  }));
  const offered = offers.map(({ grade, widthMaxUm, rollLengthMm, pricePerKg }) => {
    const { thicknessUm, densityGPerCm3 } = grades.find(({ id }) => id === grade) ?? NO_FILM;
    const size = { widthMm: umToMm(widthMaxUm), lengthM: mmToM(rollLengthMm) };
    const kg = filmMassKg({ ...size, thicknessUm, densityGPerCm3 });
    return { area: areaM2(widthMaxUm, rollLengthMm), cost: kg * pricePerKg };
  });
  const film = [...stock, ...offered];
  const area = film.reduce((sum, one) => sum + one.area, 0);
  return area > 0 ? film.reduce((sum, one) => sum + one.cost, 0) / area : 0;
}

const NO_FILM = { thicknessUm: 0, densityGPerCm3: 0 };
