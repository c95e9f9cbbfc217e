// The plans made so far, newest first.
import type { Knex } from 'knex';
import { type PlanSummary, selectPlans } from '../../store/planSummaries.ts';

export type { PlanSummary } from '../../store/planSummaries.ts';

/** One page of plans without their documents, and how many there are in all. */
export const listPlans = (
  db: Knex,
  page: { page: number; pageSize: number },
): Promise<{ rows: PlanSummary[]; total: number }> => selectPlans(db, page);
