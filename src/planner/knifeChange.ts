// What it takes to bring the knives of a slitter from one run to the next: a knife moves when none stood at its place;
// a run whose knives stand just as before, or in a setting that is kept ready, needs no set-up at all. Where nobody knows the knives, moves are not charged.
import type { Slitter } from '../domain/problem.ts';

export interface KnifeChange {
  /** Knives that stand where none stood before. */
  moves: number;
  /** Moves that take time: none before the first run on a slitter whose knives nobody knows. */
  chargedMoves: number;
  /** Minutes of set-up and knife moves. */
  minutes: number;
}

/** From the knives `before` (undefined: unknown) to those of the next run; positions in um. */
export function knifeChange(
  slitter: Pick<Slitter, 'minutesPerSetup' | 'minutesPerKnifeMove' | 'keptKnivesUm'>,
  before: ReadonlySet<number> | undefined,
  now: ReadonlySet<number>,
): KnifeChange {
  let moves = 0;
  for (const knife of now) if (!before?.has(knife)) moves++;
  const untouched = before !== undefined && moves === 0 && before.size === now.size;
  const ready = isKeptReady(slitter, now);
  const chargedMoves = before && !ready ? moves : 0;
  const minutes =
    untouched || ready ? 0 : slitter.minutesPerSetup + chargedMoves * slitter.minutesPerKnifeMove;
  return { moves, chargedMoves, minutes };
}

/** Whether knives in these places are one of the settings that the slitter keeps ready. */
export function isKeptReady(
  { keptKnivesUm }: Pick<Slitter, 'keptKnivesUm'>,
  now: ReadonlySet<number>,
): boolean {
  return (keptKnivesUm ?? []).some((kept) => kept.length === now.size && kept.every((at) => now.has(at)));
}
