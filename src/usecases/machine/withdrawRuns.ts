// Takes runs back from the machine that are not begun: their rolls are free again, their orders open for planning. A run
// that is begun is closed instead: what is cut stays, the sets that are not cut go back to planning.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { refreshOrders } from '../../store/orderProgress.ts';
import {
  findRelease,
  findRuns,
  ordersOfRuns,
  type ReleasedRun,
  setRunStatus,
  settleRelease,
} from '../../store/releases.ts';
import { enterOnce } from '../enterOnce.ts';
import type { Act } from './releasePlan.ts';

interface Withdrawal extends Act {
  /** Numbers of the runs; `waiting`: all that are not begun. */
  runs: readonly number[] | 'waiting';
  reason: string;
}

/** Refuses with not-found, run-not-released, run-begun or nothing-to-withdraw. */
export async function withdrawRuns(
  db: Knex,
  release: number,
  { by, reason, requestKey, runs: asked }: Withdrawal,
): Promise<void> {
  const details = { release, runs: asked };
  await enterOnce(db, { kind: 'withdrawn', by, reason, requestKey, details }, async (trx) => {
    const runs = await runsOf(trx, release);
    const waiting = runs.filter((run) => run.status === 'waiting').map((run) => run.sequence);
    const chosen = asked === 'waiting' ? waiting : [...new Set(asked)];
    const unknown = chosen.find((number) => !runs.some((run) => run.sequence === number));
    if (unknown !== undefined) throw new Refusal('run-not-released', { release, run: unknown });
    const begun = chosen.filter((number) => !waiting.includes(number));
    if (begun.length > 0) throw new Refusal('run-begun', { release, runs: begun.map(String) });
    if (chosen.length === 0) throw new Refusal('nothing-to-withdraw', { release });
    await setRunStatus(trx, release, chosen, 'withdrawn');
    await settleRelease(trx, release, true);
    await refreshOrders(trx, await ordersOfRuns(trx, release, chosen));
    return undefined;
  });
}

/** Ends a run before all its sets are cut. Refuses with not-found, run-not-released, run-withdrawn or run-done. */
export async function closeRun(
  db: Knex,
  release: number,
  sequence: number,
  { by, requestKey, reason }: Act & { reason: string },
): Promise<void> {
  const details = { release, runs: [sequence], closed: true };
  await enterOnce(db, { kind: 'withdrawn', by, reason, requestKey, details }, async (trx) => {
    const run = (await runsOf(trx, release)).find((one) => one.sequence === sequence);
    if (!run) throw new Refusal('run-not-released', { release, run: sequence });
    refuseEnded(run);
    await setRunStatus(trx, release, [sequence], run.setsCut > 0 ? 'done' : 'withdrawn');
    await settleRelease(trx, release);
    await refreshOrders(trx, await ordersOfRuns(trx, release, [sequence]));
    return undefined;
  });
}

/** Nothing more is cut of a run that was withdrawn or is done. */
export function refuseEnded(run: ReleasedRun): void {
  const { release, sequence, status, setsCut, setsPlanned } = run;
  if (status === 'withdrawn') throw new Refusal('run-withdrawn', { release, run: sequence });
  if (status === 'done')
    throw new Refusal('run-done', { release, run: sequence, cut: setsCut, planned: setsPlanned });
}

/** The runs of a release, which is held until the end of the transaction. */
export async function runsOf(trx: Knex, release: number): Promise<ReleasedRun[]> {
  if (!(await findRelease(trx, release, 'lock')))
    throw new Refusal('not-found', { what: 'release', code: release });
  return findRuns(trx, [release]);
}
