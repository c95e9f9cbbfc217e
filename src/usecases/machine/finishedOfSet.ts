// The finished rolls of one set: for whom, at what cost, and whether anything speaks against them. A roll that inherits a
// bad place, or has more joins than its product allows, is made on hold: somebody has to decide on it.
import type { Run } from '../../domain/plan.ts';
import { printRollMap } from '../../domain/rollMap.ts';
import type { RollMade } from '../../domain/setCut.ts';
import { areaM2 } from '../../domain/units.ts';
import type { NewFinished } from '../../store/finishedRolls.ts';
import type { Movement } from '../../store/ledger.ts';
import type { HeldRoll } from './rollAtMachine.ts';

interface SetMade {
  run: Run;
  roll: HeldRoll;
  made: readonly RollMade[];
  codes: readonly string[];
  maxSplices: number;
  entry: number;
}

export function rollsOfSet({ run, roll, made, codes, maxSplices, entry }: SetMade): NewFinished[] {
  const perM2 = roll.costPerRoll === null ? null : roll.costPerRoll / areaM2(roll.widthUm, roll.lengthMm);
  return made.map((one, i) => {
    const held = whyHeld(one, maxSplices);
    return {
      code: codes[i] as string,
      item: run.product,
      widthUm: one.widthUm,
      order: run.strips[one.strip]?.order,
      splices: one.splices,
      status: held === undefined ? 'released' : 'on hold',
      costPerRoll: perM2 === null ? null : Math.round(perM2 * areaM2(one.widthUm, one.lengthMm) * 1e4) / 1e4,
      note: held,
      places: one.places,
      entry,
    };
  });
}

/** Why a roll just made is not good as it is. */
function whyHeld(
  { places, splices }: Pick<RollMade, 'places' | 'splices'>,
  maxSplices: number,
): string | undefined {
  const why: string[] = [];
  if (places.length > 0) why.push(`a bad place was wound in: ${printRollMap(places).replaceAll('\n', '; ')}`);
  if (splices > maxSplices) why.push(`${splices} joins, ${maxSplices} allowed`);
  return why.length > 0 ? `On hold since it was cut: ${why.join('; ')}.` : undefined;
}

/** The metres that come into the finished rolls. */
export const metresMade = (made: readonly RollMade[], codes: readonly string[], madeOf: string): Movement[] =>
  made.map((one, i) => ({
    roll: codes[i] as string,
    side: 'in',
    cause: 'made',
    lengthMm: one.lengthMm,
    massMg: one.massMg,
    madeOf,
  }));
