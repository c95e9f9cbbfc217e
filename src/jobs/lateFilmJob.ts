// Looks for late film whose orders are to be planned again: after every change, at the start, and every hour, since film becomes
// overdue by itself. What is found waits in the queue of plans; a cause is queued once, so that looking again does no harm.
import type { Knex } from 'knex';
import { Refusal } from '../domain/refusal.ts';
import type { IsoDate } from '../domain/units.ts';
import { replanLateFilm } from '../usecases/planning/planLateFilm.ts';
import type { JobLog } from './planJob.ts';

export interface LateFilmDesk {
  /** Film may have become late: looks for it a moment later, and every hour from now on. Returns at once. */
  look(today: () => IsoDate): void;
  stop(): Promise<void>;
}

/** Changes often come together: so long after the last one. */
const SETTLE_MS = 1000;
const AGAIN_MS = 3_600_000;

/** `queued` is called when plans wait. */
export function lateFilmDesk(db: Knex, queued: () => void, log: JobLog): LateFilmDesk {
  let timer: NodeJS.Timeout | undefined;
  let looking: Promise<void> = Promise.resolve();
  let stopped = false;

  const lookNow = async (today: () => IsoDate) => {
    try {
      const plans = await replanLateFilm(db, today());
      if (plans.length === 0) return;
      log.info({ plans }, 'orders planned again because film is late');
      queued();
    } catch (error) {
      // A full queue: what is left is found by the next look.
      if (!stopped && !(error instanceof Refusal))
        log.error({ err: error }, 'late film could not be looked at');
    }
  };
  const soon = (today: () => IsoDate, ms: number) => {
    if (stopped) return;
    clearTimeout(timer);
    timer = setTimeout(() => {
      looking = looking.then(() => lookNow(today)).then(() => soon(today, AGAIN_MS));
    }, ms).unref();
  };
  return {
    look: (today) => soon(today, SETTLE_MS),
    async stop() {
      stopped = true;
      clearTimeout(timer);
      await looking;
    },
  };
}
