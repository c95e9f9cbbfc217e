// Where the runs of a plan lie on one roll, in the order in which they come off it, with what is passed over before each.
// Metres of the counter: from the roll's outer end as it was when the plan was made.
import type { Plan } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM } from '../../domain/units.ts';
import { grouped } from '../words.ts';
import type { BadPlace } from './pictureShapes.ts';
import { endOfSets, isFullWidth, webRoll } from './webRolls.ts';

export interface PlannedBlock {
  roll: string;
  sequence: number;
  sets: number;
  startM: number;
  endM: number;
  /** Lost before it: lead-in, or metres passed over. */
  gapM: number;
  first: boolean;
  /** Full-width bad places that the gap passes over. */
  passed: BadPlace[];
}

export function plannedBlocks(plan: Plan, problem: Problem, roll: string): PlannedBlock[] {
  const shape = webRoll(roll, plan, problem);
  const takes = plan.runs
    .flatMap((run) => run.from.filter((from) => from.roll === roll).map((from) => ({ run, from })))
    .sort((a, b) => a.from.startM - b.from.startM);
  let before = 0;
  return takes.map(({ run, from }, index) => {
    const slitter = problem.slitters.find(({ id }) => id === run.slitter);
    const tailM = mmToM(slitter?.tailMm ?? 0);
    const endM = Math.min(shape.lengthM, endOfSets(from, { lengthM: run.lengthM, tailM }, shape));
    const passed = shape.bad.filter(
      (bad) => isFullWidth(bad, shape.widthMm) && bad.toM > before && bad.fromM < from.startM,
    );
    const gapM = Math.max(0, Math.round((from.startM - before) * 1000) / 1000);
    before = endM;
    return {
      roll,
      sequence: run.sequence,
      sets: from.sets,
      startM: from.startM,
      endM,
      gapM,
      first: index === 0,
      passed,
    };
  });
}

/** "lead-in 30 m", "pass over 276.5 m: flag at 1,210-1,211 m" */
export function gapWords({ gapM, first, passed }: PlannedBlock): string {
  if (gapM < 0.0005) return '';
  const flags = passed.map(({ kind, fromM, toM }) => `${kind} at ${grouped(fromM, 1)}-${grouped(toM, 1)} m`);
  const words = first && flags.length === 0 ? 'lead-in' : 'pass over';
  return `${words} ${grouped(gapM, 1)} m${flags.length > 0 ? `: ${flags.join('; ')}` : ''}`;
}
