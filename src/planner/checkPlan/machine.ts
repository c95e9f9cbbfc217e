// Machine time of each run: knives moved and minutes taken, from the strips and the slitter alone.
// Knives stand at every strip edge, the outermost beside the edge trims. A knife moves when the run before on this
// slitter had none there; before a slitter's first run `knivesAtMm` counts, and where nobody knows it, moves are free.
// A run whose knives stand just as in the run before, or in one of `keepPatterns`, needs no set-up.
import { setMinutes } from '../../domain/filmMath.ts';
import { mmToUm } from '../../domain/units.ts';
import type { RunFacts } from './facts.ts';

export interface MachineTime {
  knifeMoves: number;
  /** Moves that are paid for. */
  chargedMoves: number;
  setupMinutes: number;
  runningMinutes: number;
}

const counted = new WeakMap<RunFacts[], MachineTime[]>();

/** Machine time of every run, in the order of the runs; counted once for each plan. */
export function machineTimes(runs: RunFacts[]): MachineTime[] {
  const times = counted.get(runs) ?? countTimes(runs);
  counted.set(runs, times);
  return times;
}

function countTimes(runs: RunFacts[]): MachineTime[] {
  const standing = new Map<string, Set<number>>();
  return runs.map(({ run, slitter, strips, lengthMm }) => {
    const before = standing.get(run.slitter) ?? (slitter?.knivesAtUm && new Set<number>(slitter.knivesAtUm));
    const knives = new Set([
      mmToUm(run.trimLeftMm) as number,
      ...strips.flatMap(({ fromUm, toUm }) => [fromUm, toUm]),
    ]);
    standing.set(run.slitter, knives);
    const knifeMoves = [...knives].filter((knife) => !before?.has(knife)).length;
    const kept = (slitter?.keptKnivesUm ?? []).some(
      (ready) => ready.length === knives.size && ready.every((at) => knives.has(at)),
    );
    const chargedMoves = before && !kept ? knifeMoves : 0;
    if (!slitter) return { knifeMoves, chargedMoves, setupMinutes: 0, runningMinutes: 0 };
    const untouched = before !== undefined && knifeMoves === 0 && before.size === knives.size;
    const oneSet = setMinutes({ ...slitter, lengthM: lengthMm / 1000 }) + slitter.minutesPerSetChange;
    return {
      knifeMoves,
      chargedMoves,
      setupMinutes:
        untouched || kept ? 0 : slitter.minutesPerSetup + chargedMoves * slitter.minutesPerKnifeMove,
      runningMinutes: run.sets * oneSet,
    };
  });
}
