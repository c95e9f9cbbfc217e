// The cuts of a question: from which film it may be made, from the nearest to the farthest. Coated rolls, and what is
// coated for others already; then base film to coat; then film to buy. Film that cannot be ready by the day is left out.
import type { Kept, ProblemRoll, SalesState, Verdict } from '../../domain/answer.ts';
import type { ProblemDocument } from '../../domain/problemDocument.ts';
import { addDays, type IsoDate } from '../../domain/units.ts';

export interface Cut {
  verdict: Extract<Verdict, 'coated' | 'coat' | 'buy'>;
  rolls: ProblemRoll[];
  offers: NonNullable<ProblemDocument['offers']>;
}

/** The cuts that can make anything by that day, each with more film than the one before. */
export function cutsFor(state: SalesState, kept: Kept, by: IsoDate | undefined): Cut[] {
  const { rolls = [], offers = [] } = state.document;
  const coated = rolls.filter((roll) => roll.kind !== 'base');
  const film = rolls.filter((roll) => roll.kind === 'base');
  const later = readyDays(state);
  const near = (day: IsoDate) => by === undefined || day <= by;
  const cuts: Cut[] = [{ verdict: 'coated', rolls: [...coated, ...asCoated(state, kept, film)], offers: [] }];
  const whole = [...coated, ...film, ...kept.bought];
  if (film.length + kept.bought.length > 0 && near(later.coated))
    cuts.push({ verdict: 'coat', rolls: whole, offers: [] });
  const inTime = offers.filter((offer) => near(later.bought(offer.leadTimeDays ?? 0)));
  if (inTime.length > 0) cuts.push({ verdict: 'buy', rolls: whole, offers: inTime });
  return cuts;
}

/** The days on which film in the house, and film ordered today, is coated and ready. */
export function readyDays({ today, document }: SalesState) {
  const leadDays = document.products[0]?.coating?.leadDays ?? 0;
  return {
    coated: addDays(today, leadDays),
    bought: (leadTimeDays: number) => addDays(today, leadTimeDays + leadDays),
  };
}

/** Base rolls that the kept plan coats, each only as far as it coats them. */
function asCoated(state: SalesState, kept: Kept, film: readonly ProblemRoll[]): ProblemRoll[] {
  const lossM = state.document.products[0]?.coating?.lossM ?? 0;
  return kept.coating.flatMap((step) => {
    const roll = [...film, ...kept.bought].find(({ id }) => id === step.roll);
    return roll ? [shortened(roll, Math.min(roll.lengthM, millimetres(lossM + step.lengthM)))] : [];
  });
}

const millimetres = (metres: number): number => Math.ceil(metres * 1000 - 1e-6) / 1000;

/** The outer `lengthM` of a roll, with the bad places that lie on it; it costs its share. */
function shortened(roll: ProblemRoll, lengthM: number): ProblemRoll {
  const defects = (roll.defects ?? [])
    .filter(({ fromM = 0 }) => fromM < lengthM)
    .map((place) => ({ ...place, toM: Math.min(lengthM, place.toM ?? lengthM) }));
  const share =
    roll.costPerRoll === undefined ? {} : { costPerRoll: (roll.costPerRoll * lengthM) / roll.lengthM };
  return { ...roll, ...share, lengthM, ...(roll.defects ? { defects } : {}) };
}
