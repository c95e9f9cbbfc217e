// Planned beside actual for the runs of a plan that were released: sets, rolls, metres and what was lost on the way.
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM } from '../../domain/units.ts';
import type { ReleaseHead, RunActual } from '../../usecases/machine/readRelease.ts';
import { plannedBlocks } from '../drawings/plannedBlocks.ts';
import { progressWords } from '../machine/releaseForms.ts';
import { count, grouped } from '../words.ts';
import { clockTime } from './planForms.ts';

/** One line a release, and one row for each of its runs; undefined when nothing was released. */
export function actualOf(
  plan: Plan,
  problem: Problem,
  releases: readonly ReleaseHead[],
  actual: readonly RunActual[],
) {
  if (releases.length === 0) return undefined;
  const rows = releases.flatMap(({ id, runs }) =>
    runs.map((run) => {
      const done = actual.find((one) => one.release === id && one.sequence === run.sequence);
      const wound = run.run.strips.filter((strip) => !strip.waste).length;
      const made = done?.made ?? [];
      const good = made.filter(
        ({ status, lengthMm }) =>
          status === 'dispatched' || (status === 'released' && lengthMm >= run.lengthMm),
      ).length;
      const started = run.setsCut * wound;
      return {
        release: id,
        sequence: run.sequence,
        words: progressWords(run),
        setsPlanned: grouped(run.setsPlanned),
        setsCut: grouped(run.setsCut),
        rollsPlanned: grouped(run.setsPlanned * wound),
        rollsGood: grouped(good),
        notGood: started - good > 0 ? grouped(started - good) : '',
        lostPlanned: grouped(lostPlannedM(plan, problem, run), 1),
        lost: done ? grouped(mmToM([...done.lostMm.values()].reduce((a, b) => a + b, 0)), 1) : '',
        lostWords: [...(done?.lostMm ?? [])]
          .map(([cause, mm]) => `${cause} ${grouped(mmToM(mm), 1)} m`)
          .join(', '),
      };
    }),
  );
  return {
    releases: releases.map((release) => ({
      id: release.id,
      words: `${release.status}, ${count(release.runs.length, 'run')}; released by ${release.by}, ${clockTime(release.at)}`,
    })),
    rows,
  };
}

/** Metres that the plan leaves out before the run on each of its rolls, and the tails of its sets. */
function lostPlannedM(
  plan: Plan,
  problem: Problem,
  { run, setsPlanned }: ReleaseHead['runs'][number],
): number {
  const rolls = [...new Set(run.from.map(({ roll }) => roll))];
  const own = rolls.flatMap((roll) =>
    plannedBlocks(plan, problem, roll).filter(({ sequence }) => sequence === run.sequence),
  );
  const tailMm = problem.slitters.find(({ id }) => id === run.slitter)?.tailMm ?? 0;
  return own.reduce((sum, { gapM }) => sum + gapM, 0) + setsPlanned * mmToM(tailMm);
}
