// Plans in the database: the frozen problem, how far its planning is, and the plan that came of it.
// The table is the queue too: a job is a row with status queued, taken with "for update skip locked", so that two
// takers never get the same one. Documents are stored as written.
import type { Knex } from 'knex';
import type { Plan, PlanProgress } from '../domain/plan.ts';
import type { ProblemDocument } from '../domain/problemDocument.ts';
import {
  type PlanRowStatus,
  type PlanSummary,
  type Row,
  summaryColumns,
  toSummary,
} from './planSummaries.ts';

export interface StoredPlan extends PlanSummary {
  problem: ProblemDocument;
  plan: Plan | undefined;
  /** While it is being made: the first whole plan, checked. */
  firstPlan: Plan | undefined;
  progress: StoredProgress | undefined;
}

/** Progress as it is kept; `interruptions` counts how often the program stopped while this plan was running. */
export type StoredProgress = Partial<PlanProgress> & { interruptions?: number };

export interface NewPlan {
  title: string;
  products: string[];
  problem: ProblemDocument;
  secondsLimit: number;
  parentId?: number;
}

/** Puts a plan into the queue. @returns its number. */
export async function insertPlan(db: Knex, plan: NewPlan): Promise<number> {
  const [row] = await db('plans')
    .insert({
      title: plan.title,
      products: plan.products,
      problem: JSON.stringify(plan.problem),
      seconds_limit: plan.secondsLimit,
      parent_plan_id: plan.parentId ?? null,
    })
    .returning('id');
  return row.id;
}

/** Stores a plan that is there already, without a turn in the queue. @returns its number. */
export async function insertFinishedPlan(db: Knex, plan: NewPlan & { plan: Plan }): Promise<number> {
  const [row] = await db('plans')
    .insert({
      title: plan.title,
      products: plan.products,
      problem: JSON.stringify(plan.problem),
      plan: JSON.stringify(plan.plan),
      status: 'done',
      seconds_limit: plan.secondsLimit,
      started_at: db.fn.now(),
      finished_at: db.fn.now(),
      parent_plan_id: plan.parentId ?? null,
    })
    .returning('id');
  return row.id;
}

/** How many plans wait for their turn. */
export async function countQueued(db: Knex): Promise<number> {
  const [row] = await db('plans').where({ status: 'queued' }).count({ many: '*' });
  return Number(row?.many);
}

/** One plan with its documents; undefined when there is none with this number. */
export async function findPlan(db: Knex, id: number): Promise<StoredPlan | undefined> {
  const row = await db('plans')
    .where({ id })
    .first([...summaryColumns(db), 'problem', 'plan', 'first_plan', 'progress']);
  return row && toPlan(row);
}

/** How a plan stands, without reading its documents. */
export async function findPlanStatus(db: Knex, id: number): Promise<PlanRowStatus | undefined> {
  return (await db('plans').where({ id }).first('status'))?.status;
}

/** Takes the plan that has waited longest and marks it running; undefined when none waits. */
export async function takeNextPlan(db: Knex): Promise<StoredPlan | undefined> {
  return db.transaction(async (trx) => {
    const next = await trx('plans')
      .where({ status: 'queued' })
      .orderBy('id')
      .forUpdate()
      .skipLocked()
      .first('id');
    if (!next) return undefined;
    await trx('plans').where({ id: next.id }).update({ status: 'running', started_at: trx.fn.now() });
    return findPlan(trx, next.id);
  });
}

/** Keeps the newest progress of a running plan; a plan that ended meanwhile is left alone. */
export async function updateProgress(db: Knex, id: number, progress: PlanProgress): Promise<void> {
  await db('plans')
    .where({ id, status: 'running' })
    .update({ progress: db.raw(`coalesce(progress, '{}'::jsonb) || ?::jsonb`, [JSON.stringify(progress)]) });
}

/** Keeps the first whole plan of one that is running; a plan that ended meanwhile is left alone. */
export async function updateFirstPlan(db: Knex, id: number, plan: Plan): Promise<void> {
  await db('plans')
    .where({ id, status: 'running' })
    .update({ first_plan: JSON.stringify(plan) });
}

/** Ends a running plan with its first one. @returns false when there is none, or it was no longer running. */
export async function endWithFirstPlan(db: Knex, id: number): Promise<boolean> {
  const changed = await db('plans')
    .where({ id, status: 'running' })
    .whereNotNull('first_plan')
    .update({ status: 'done', finished_at: db.fn.now(), plan: db.ref('first_plan'), first_plan: null });
  return changed === 1;
}

type Ending = { status: 'done'; plan: Plan } | { status: 'failed'; error: string };

/** Ends a running plan. @returns false when it was no longer running (cancelled meanwhile). */
export async function endPlan(db: Knex, id: number, ending: Ending): Promise<boolean> {
  const written =
    ending.status === 'done' ? { plan: JSON.stringify(ending.plan), error: null } : { error: ending.error };
  const changed = await db('plans')
    .where({ id, status: 'running' })
    .update({ status: ending.status, finished_at: db.fn.now(), first_plan: null, ...written });
  return changed === 1;
}

/** Cancels a plan that waits or runs. @returns false when it had ended already. */
export async function updateCancelled(db: Knex, id: number): Promise<boolean> {
  const changed = await db('plans')
    .where({ id })
    .whereIn('status', ['queued', 'running'])
    .update({ status: 'cancelled', finished_at: db.fn.now(), first_plan: null });
  return changed === 1;
}

/** Puts one running plan back into the queue, for a stop in good order. */
export async function requeuePlan(db: Knex, id: number): Promise<void> {
  await db('plans')
    .where({ id, status: 'running' })
    .update({ status: 'queued', started_at: null, first_plan: null });
}

/**
 * After a crash: plans that were running wait again; one that has now been interrupted `most` times fails with `words`.
 * @returns how many wait again and how many failed.
 */
export async function recoverInterrupted(
  db: Knex,
  most: number,
  words: string,
): Promise<{ again: number; failed: number }> {
  const times = `coalesce((progress->>'interruptions')::int, 0) + 1`;
  const counted = db.raw(`coalesce(progress, '{}'::jsonb) || jsonb_build_object('interruptions', ${times})`);
  return db.transaction(async (trx) => {
    const failed = await trx('plans').where({ status: 'running' }).whereRaw(`${times} >= ?`, [most]).update({
      status: 'failed',
      error: words,
      progress: counted,
      finished_at: trx.fn.now(),
      first_plan: null,
    });
    const again = await trx('plans')
      .where({ status: 'running' })
      .update({ status: 'queued', started_at: null, progress: counted, first_plan: null });
    return { again, failed };
  });
}

function toPlan(row: Row): StoredPlan {
  return {
    ...toSummary(row),
    problem: row.problem,
    plan: row.plan ?? undefined,
    firstPlan: row.first_plan ?? undefined,
    progress: row.progress ?? undefined,
  };
}
