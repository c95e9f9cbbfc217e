// Plans a stored problem again when something went wrong at the machine: the runs that are set up or done stay as they
// are, of the rolls that failed nothing more is taken, everything else is planned anew from the same frozen stock.
import type { Knex } from 'knex';
import { type Run, untimed } from '../../domain/plan.ts';
import { type ProblemDocument, parseProblem } from '../../domain/problemDocument.ts';
import { queuePlan } from './queuePlan.ts';
import { readFinishedPlan } from './readPlan.ts';

export interface AroundChoice {
  /** Numbers of the runs that stay. */
  keepRuns: number[];
  /** Rolls of which nothing more is to be taken, by name. */
  failedRolls: string[];
}
export interface AroundFault {
  field: 'keep' | 'failed';
  wrong: string;
  right: string;
}
export type AroundRequest = { ok: true; id: number } | { ok: false; faults: AroundFault[] };

/** Queues the plan; its parent is plan `planId`. Refuses with not-found, plan-not-finished or plan-queue-full. */
export async function planAgainAround(
  db: Knex,
  planId: number,
  choice: AroundChoice,
): Promise<AroundRequest> {
  const stored = await readFinishedPlan(db, planId);
  const { title, products, secondsLimit } = stored;
  const kept = stored.plan.runs.filter((run) => choice.keepRuns.includes(run.sequence));
  const faults = choiceFaults(choice, kept);
  if (faults.length > 0) return { ok: false, faults };
  const problem = around(stored.problem, kept, choice.failedRolls);
  const read = parseProblem(problem);
  if (!read.ok) return { ok: false, faults: read.faults.map((fault) => inWords(fault, kept)) };
  return { ok: true, id: await queuePlan(db, { title, products, problem, secondsLimit, parentId: planId }) };
}

function choiceFaults({ keepRuns, failedRolls }: AroundChoice, kept: Run[]): AroundFault[] {
  if (kept.length < new Set(keepRuns).size)
    return [
      { field: 'keep', wrong: 'a run is ticked that this plan does not have', right: 'runs of this plan' },
    ];
  if (keepRuns.length + failedRolls.length > 0) return [];
  return [
    {
      field: 'keep',
      wrong: 'no run is kept and no roll has failed',
      right: 'tick the runs that stay, or name a roll that failed; "Run it again" plans the same once more',
    },
  ];
}

function around(document: ProblemDocument, kept: Run[], failed: string[]): ProblemDocument {
  const excludeRolls = [...new Set([...(document.limits?.excludeRolls ?? []), ...failed])];
  const locks = kept.map(untimed);
  return { ...document, locks, limits: { ...document.limits, excludeRolls } };
}

/** A fault of the changed problem, as the form has it. */
function inWords(
  { path, wrong, right }: { path: string; wrong: string; right: string },
  kept: Run[],
): AroundFault {
  const run = /^locks\[(\d+)\]/.exec(path);
  if (!run)
    return { field: 'failed', wrong, right: "names of rolls of this plan's stock, as in its table of rolls" };
  return { field: 'keep', wrong: `run ${kept[Number(run[1])]?.sequence}: ${wrong}`, right };
}
