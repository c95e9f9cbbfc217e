// Shows coating runs: the newest, or one with what went in and came out of it.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import {
  type CoatingLine,
  type CoatingMovement,
  type CoatingSeen,
  latestCoatingRuns,
  selectCoatingRun,
} from '../../store/coatingRuns.ts';

export type { CoatingLine, CoatingMovement, CoatingSeen };

const MOST_SHOWN = 20;

export const newestCoatings = (db: Knex): Promise<CoatingLine[]> => latestCoatingRuns(db, MOST_SHOWN);

/** Throws a Refusal when there is none. */
export async function openCoating(db: Knex, number: string): Promise<CoatingSeen> {
  const run = /^\d{1,15}$/.test(number) ? await selectCoatingRun(db, Number(number)) : undefined;
  if (!run) throw new Refusal('not-found', { what: 'coating record', code: number });
  return run;
}
