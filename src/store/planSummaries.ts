// Plans as lists show them: a few figures read out of the documents, which stay in the database.
import type { Knex } from 'knex';
import type { Plan } from '../domain/plan.ts';

export type PlanRowStatus = 'queued' | 'running' | 'done' | 'failed' | 'cancelled';

/** A plan in a few figures. `cost` is that of what is made: falling short is not in it. */
interface PlanOutcome {
  status: Plan['status'];
  cost: number;
  gapPct: number;
  /** As setUpsOf of src/domain/planCounts.ts counts them. */
  setUps: number;
  shortOrders: number;
  lateOrders: number;
}

/** A plan as the list shows it: without its documents. Money in the plan's currency. */
export interface PlanSummary {
  id: number;
  createdAt: Date;
  title: string;
  products: string[];
  status: PlanRowStatus;
  error: string | undefined;
  secondsLimit: number;
  startedAt: Date | undefined;
  finishedAt: Date | undefined;
  /** The plan that this one was made from: run again, planned around, or chosen from its curve. */
  parentId: number | undefined;
  outcome: PlanOutcome | undefined;
}

const COLUMNS = [
  'id',
  'created_at',
  'title',
  'products',
  'status',
  'error',
  'seconds_limit',
  'started_at',
  'finished_at',
  'parent_plan_id',
];
/** Read in one pass over the document, which is long when the plan has alternatives. */
const OUTCOME = `case when plan is not null then (
  select json_build_object(
    'status', status, 'cost', (cost->>'total')::float8 - (cost->>'short')::float8, 'gapPct', bound->'gapPct',
    'setUps', (
      select count(*) from (
        select knives, lag(knives) over (partition by run->>'slitter' order by (run->>'sequence')::int) as before
        from json_array_elements(runs) run, lateral (
          select concat_ws(' ', run->>'trimLeftMm', string_agg(strip->>'toMm', ' ' order by place)) as knives
          from json_array_elements(run->'strips') with ordinality strips (strip, place)) setting) settings
      where knives is distinct from before),
    'shortOrders', (select count(*) from json_array_elements(orders) o where (o->>'short')::int > 0),
    'lateOrders', (select count(*) from json_array_elements(orders) o where (o->>'lateDays')::int > 0))
  from json_to_record(plan) as made (status text, cost json, bound json, runs json, orders json)) end as outcome`;

/** The columns that toSummary reads. */
export const summaryColumns = (db: Knex) => [...COLUMNS, db.raw(OUTCOME)];

/** One page of plans, newest first. */
export async function selectPlans(
  db: Knex,
  page: { page: number; pageSize: number },
): Promise<{ rows: PlanSummary[]; total: number }> {
  const [{ many } = { many: 0 }] = await db('plans').count({ many: '*' });
  const rows = await db('plans')
    .select(summaryColumns(db))
    .orderBy('id', 'desc')
    .limit(page.pageSize)
    .offset((page.page - 1) * page.pageSize);
  return { rows: rows.map(toSummary), total: Number(many) };
}

/** A row as the driver gives it. */
export type Row = Record<string, never>;

export function toSummary(row: Row): PlanSummary {
  return {
    id: row.id,
    createdAt: row.created_at,
    title: row.title,
    products: row.products,
    status: row.status,
    error: row.error ?? undefined,
    secondsLimit: Number(row.seconds_limit),
    startedAt: row.started_at ?? undefined,
    finishedAt: row.finished_at ?? undefined,
    parentId: row.parent_plan_id ?? undefined,
    outcome: row.outcome ?? undefined,
  };
}
