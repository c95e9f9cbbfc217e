// Runs that were to stay stay: on each slitter they come first, in their order, unchanged in every figure; and of rolls
// that were not to be used, as of base film that they have coated, nobody takes more than they do.
import type { Run } from '../../domain/plan.ts';
import type { LockedRun } from '../../domain/problem.ts';
import { mmToUm, mToMm } from '../../domain/units.ts';
import type { Clause, Facts } from './facts.ts';
import { fault } from './facts.ts';

/** What must not change, in whole um and mm. */
function written(run: Run | LockedRun | undefined): string {
  if (!run) return 'no run';
  const { slitter, product, lengthM, sets, trimLeftMm, trimRightMm, strips, from } = run;
  return JSON.stringify([
    slitter,
    product,
    mToMm(lengthM),
    sets,
    [trimLeftMm, trimRightMm].map(mmToUm),
    strips.map(({ fromMm, toMm, order, filler, waste }) => [
      mmToUm(fromMm),
      mmToUm(toMm),
      order ?? null,
      filler ?? null,
      waste ?? null,
    ]),
    from.map(({ roll, sets: taken, startM }) => [roll, taken, mToMm(startM)]),
  ]);
}

const keptAsTheyWere: Clause = ({ problem, plan }) =>
  problem.slitters.flatMap(({ id }) => {
    const locks = problem.locks.filter((lock) => lock.slitter === id);
    const runs = plan.runs.flatMap((run, index) => (run.slitter === id ? [{ run, index }] : []));
    return locks.flatMap((lock, at) =>
      written(runs[at]?.run) === written(lock)
        ? []
        : [
            fault(
              `runs[${runs[at]?.index ?? plan.runs.length}]`,
              'locked-run',
              written(lock),
              written(runs[at]?.run),
            ),
          ],
    );
  });

/** The runs that come after the locked ones of their slitter. */
function freeRuns({ problem, runs }: Facts): Facts['runs'] {
  const left = new Map<string, number>();
  for (const lock of problem.locks) left.set(lock.slitter, (left.get(lock.slitter) ?? 0) + 1);
  return runs.filter(({ run }) => {
    const locked = left.get(run.slitter) ?? 0;
    left.set(run.slitter, locked - 1);
    return locked <= 0;
  });
}

const leftAlone: Clause = (facts) => {
  const { problem } = facts;
  const excluded = new Set(problem.excludeRolls);
  const base = new Set(problem.rolls.filter(({ kind }) => kind === 'base').map(({ id }) => id));
  const locked = new Set(problem.locks.flatMap(({ from }) => from.map(({ roll }) => roll)));
  return freeRuns(facts).flatMap(({ blocks }) =>
    blocks.flatMap(({ where, from: { roll } }) => {
      const id = roll.replace(/#\d+$/, '');
      if (excluded.has(roll) || excluded.has(id))
        return [fault(`${where}.roll`, 'excluded-roll', 'a roll that may be used', roll)];
      if (locked.has(roll) && (base.has(roll) || base.has(id)))
        return [
          fault(`${where}.roll`, 'locked-run', 'no more of base film that a locked run has coated', roll),
        ];
      return [];
    }),
  );
};

export const lockedClauses: Clause[] = [keptAsTheyWere, leftAlone];
