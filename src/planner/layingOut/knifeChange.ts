// What it takes to bring the knives of a slitter from one run to the next: a knife moves when none stood at its place;
// a run whose knives stand just as before, or in a setting that is kept ready, needs no set-up at all. Where nobody knows the knives, moves are not charged.
import type { Slitter } from '../../domain/problem.ts';

export interface KnifeChange {
  /** Knives that stand where none stood before. */
  moves: number;
  /** Moves that take time: none before the first run on a slitter whose knives nobody knows. */
  chargedMoves: number;
  /** Minutes of set-up and knife moves. */
  minutes: number;
}

type Times = Pick<Slitter, 'minutesPerSetup' | 'minutesPerKnifeMove' | 'keptKnivesUm'>;

/** From the knives `before` (undefined: unknown) to those of the next run; positions in um. */
export function knifeChange(
  slitter: Times,
  before: ReadonlySet<number> | undefined,
  now: ReadonlySet<number>,
): KnifeChange {
  let moves = 0;
  for (const knife of now) if (!before?.has(knife)) moves++;
  return changeOf(slitter, moves, before?.size, now.size, isKeptReady(slitter, now));
}

/** From each of these settings of the knives (row) to each (column): counted by knife, since they share few. */
export function knifeChanges(slitter: Times, settings: ReadonlySet<number>[]): KnifeChange[][] {
  const holders = new Map<number, number[]>();
  settings.forEach((knives, s) => {
    for (const knife of knives) {
      const known = holders.get(knife);
      if (known) known.push(s);
      else holders.set(knife, [s]);
    }
  });
  const shared = settings.map(() => new Int32Array(settings.length));
  for (const all of holders.values()) for (const a of all) for (const b of all) shared[a][b]++;
  const ready = settings.map((knives) => isKeptReady(slitter, knives));
  return settings.map((from, a) =>
    settings.map((to, b) => changeOf(slitter, to.size - shared[a][b], from.size, to.size, ready[b])),
  );
}

/** `before` and `now`: how many knives. */
function changeOf(
  slitter: Times,
  moves: number,
  before: number | undefined,
  now: number,
  ready: boolean,
): KnifeChange {
  const untouched = moves === 0 && before === now;
  const chargedMoves = before === undefined || ready ? 0 : moves;
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
