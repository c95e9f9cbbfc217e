// Where width is left over: stubs in stock, runs released to the slitters, and the newest plan of each product.
import type { Knex } from 'knex';
import type { Run } from '../domain/plan.ts';

export interface LeftRoll {
  code: string;
  product: string;
  widthUm: number;
  lengthMm: number;
  receivedOn: string | null;
  useBy: string | null;
}

/** Released stubs that are not past use-by and not at the machine. */
export async function stubsLeft(db: Knex, today: string): Promise<LeftRoll[]> {
  return db('rolls as r')
    .where({ kind: 'stub', status: 'released' })
    .where((day) => day.whereNull('use_by').orWhere('use_by', '>=', today))
    .whereNotExists((held) =>
      held.from('released_rolls as h').whereRaw('h.roll = r.code').where('h.active', true).select('h.roll'),
    )
    .orderBy('code')
    .limit(500)
    .select({
      code: 'code',
      product: 'item',
      widthUm: 'width_um',
      lengthMm: 'length_mm',
      receivedOn: 'received_on',
      useBy: 'use_by',
    });
}

export interface WaitingRun {
  /** Release or plan that the run belongs to. */
  of: number;
  sequence: number;
  run: Run;
  /** Sets still to cut. */
  sets: number;
}

/** Runs at the machine with sets still to cut. */
export async function releasedRunsLeft(db: Knex): Promise<WaitingRun[]> {
  return db('released_runs')
    .whereIn('status', ['waiting', 'being cut'])
    .whereRaw('sets_planned > sets_cut')
    .orderBy(['release', 'sequence'])
    .select({ of: 'release', sequence: 'sequence', run: 'run', sets: db.raw('sets_planned - sets_cut') });
}

/** Runs of the newest finished plan of each product, where nothing of that plan was released. */
export async function plannedRunsLeft(db: Knex): Promise<WaitingRun[]> {
  const { rows } = await db.raw(`
    select p.id as "of", (run->>'sequence')::int as sequence, run, (run->>'sets')::int as sets
    from (
      select distinct on (product) id, product
      from plans, unnest(products) as product where status = 'done' order by product, id desc) as newest
    join plans p on p.id = newest.id
    cross join lateral json_array_elements(p.plan->'runs') as run
    where run->>'product' = newest.product and not exists (select 1 from releases r where r.plan = p.id)
    order by p.id, sequence`);
  return rows;
}

export interface CatalogueWidth {
  code: string;
  product: string;
  widthUm: number;
  lengthMm: number;
  value: number;
}

export async function catalogueWidths(db: Knex): Promise<CatalogueWidth[]> {
  return db('fillers').where('active', true).orderBy('code').select({
    code: 'code',
    product: 'product',
    widthUm: 'width_um',
    lengthMm: 'length_mm',
    value: 'value_per_roll',
  });
}
