// What people count in a plan: how often the knives are set, how often they move, how many rolls are used. Two runs after each other
// on one slitter with the knives in the same places are one set-up, as in the cost of set-ups.
import type { Plan, Run } from './plan.ts';

/** Positions of all knives of a run on its slitter, as one text: equal when nothing has to be set. */
export const knifeSetting = (run: Run): string =>
  JSON.stringify([run.slitter, run.trimLeftMm, ...run.strips.map((strip) => strip.toMm)]);

/** Runs before which the knives are set. */
export function setUpsOf(plan: Plan): number {
  const standing = new Map<string, string>();
  let setUps = 0;
  for (const run of [...plan.runs].sort((a, b) => a.sequence - b.sequence)) {
    const setting = knifeSetting(run);
    if (standing.get(run.slitter) !== setting) setUps += 1;
    standing.set(run.slitter, setting);
  }
  return setUps;
}

export const knifeMovesOf = (plan: Plan): number => plan.runs.reduce((sum, run) => sum + run.knifeMoves, 0);

/** Single rolls that the runs take from, by name. */
export const rollsUsed = (plan: Plan): Set<string> =>
  new Set(plan.runs.flatMap((run) => run.from.map((from) => from.roll)));
