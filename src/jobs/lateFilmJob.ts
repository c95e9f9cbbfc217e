// Looks for late film whose orders are to be planned again: after every change, at the start, and every hour, since film becomes
// overdue by itself. What is found waits in the queue of plans; a cause is queued once, so that looking again does no harm.
import type { Knex } from 'knex';
import { Refusal } from '../domain/refusal.ts';
import type { IsoDate } from '../domain/units.ts';
import { replanLateFilm } from '../usecases/planning/planLateFilm.ts';
import { afterSettling } from './afterSettling.ts';
import type { JobLog } from './planJob.ts';

export interface LateFilmDesk {
  /** Film may have become late: looks for it a moment later, and every hour from now on. Returns at once. */
  look(today: () => IsoDate): void;
  stop(): Promise<void>;
}

const SETTLE_MS = 1000;
const AGAIN_MS = 3_600_000;

/** `queued` is called when plans wait. */
export function lateFilmDesk(db: Knex, queued: () => void, log: JobLog): LateFilmDesk {
  const lookNow = async (today: () => IsoDate) => {
    const plans = await replanLateFilm(db, today());
    if (plans.length === 0) return;
    log.info({ plans }, 'orders planned again because film is late');
    queued();
  };
  const failed = (error: unknown) => {
    // A full queue: what is left is found by the next look.
    if (!(error instanceof Refusal)) log.error({ err: error }, 'late film could not be looked at');
  };
  const looking = afterSettling(lookNow, SETTLE_MS, failed, AGAIN_MS);
  return { look: looking.soon, stop: looking.stop };
}
