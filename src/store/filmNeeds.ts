// What the need of base film is worked out from: finished plans (only the parts that are read, not their alternatives),
// forecasts, film on the way, grades with what they may be had in. Areas in m2 (um x mm / 1e9).
import type { Knex } from 'knex';
import type { ForecastLine } from '../domain/filmDemand.ts';
import type { PlanParts } from '../domain/filmOfPlan.ts';
import type { IsoDate } from '../domain/units.ts';

const ROLLS = `(select coalesce(json_agg(json_build_object('id', r->'id', 'kind', r->'kind', 'item', r->'item', 'widthMm', r->'widthMm')), '[]')
  from json_array_elements(problem->'rolls') r)`;

/** The newest finished plans, the newest first. */
export async function newestPlans(db: Knex, most: number): Promise<PlanParts[]> {
  return db('plans')
    .where('status', 'done')
    .orderBy('id', 'desc')
    .limit(most)
    .select(
      'id',
      db.raw(`plan->'runs' as runs, plan->'coating' as coating, plan->'orders' as outcomes,
        problem->'orders' as orders, problem->'products' as products,
        coalesce(problem->'offers', '[]') as offers, ${ROLLS} as rolls`),
    );
}

/** Forecasts of this week and later. */
export async function forecastsFrom(db: Knex, monday: IsoDate): Promise<ForecastLine[]> {
  return db('forecasts')
    .where('week_on', '>=', monday)
    .orderBy(['week_on', 'code'])
    .select('code', 'product', { weekOn: 'week_on' })
    .select(
      db.raw('coalesce(area_m2::float8, rolls * (width_um::float8 * length_mm / 1e9))::float8 as "areaM2"'),
    );
}

export interface FilmComing {
  purchaseOrder: string;
  line: number;
  supplier: string;
  grade: string;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  areaM2: number;
  wantedOn: IsoDate | null;
  confirmedOn: IsoDate | null;
}

/** Lines of sent and confirmed purchase orders of which rolls are still to come; of what was confirmed, where it was. */
export async function filmComing(db: Knex): Promise<FilmComing[]> {
  const received = `(select count(*) from received_rolls r where r.purchase_order = l.purchase_order and r.line = l.line)`;
  const left = `greatest(0, coalesce(l.confirmed_rolls, l.rolls) - ${received})`;
  return db('purchase_order_lines as l')
    .join('purchase_orders as o', 'o.code', 'l.purchase_order')
    .whereIn('o.status', ['sent', 'confirmed'])
    .whereRaw(`${left} > 0`)
    .orderBy(['l.purchase_order', 'l.line'])
    .select('l.line', 'l.grade', 'o.supplier', {
      purchaseOrder: 'l.purchase_order',
      widthUm: 'l.width_um',
      lengthMm: 'l.length_mm',
      wantedOn: 'l.wanted_on',
      confirmedOn: 'l.confirmed_on',
    })
    .select(
      db.raw(
        `${left}::int as rolls, (${left} * (l.width_um::float8 * l.length_mm / 1e9))::float8 as "areaM2"`,
      ),
    );
}

export interface GradeHead {
  grade: string;
  polymer: string;
  thicknessUm: number;
  densityGPerCm3: number;
  safetyStockKg: number | null;
}

export async function gradeHeads(db: Knex): Promise<GradeHead[]> {
  return db('grades').orderBy('code').select('polymer', {
    grade: 'code',
    thicknessUm: 'thickness_um',
    densityGPerCm3: 'density_g_per_cm3',
    safetyStockKg: 'safety_stock_kg',
  });
}

export interface RollSize {
  grade: string;
  widthUm: number;
  lengthMm: number;
}

/** The size in which a grade is usually had: of its cheapest offer, else of most of its rolls. */
export async function usualSizes(db: Knex, today: IsoDate): Promise<RollSize[]> {
  const { rows } = await db.raw(
    `
    select distinct on (grade) grade, width_um as "widthUm", length_mm as "lengthMm" from (
      select grade, coalesce(width_um, width_max_um) as width_um, roll_length_mm as length_mm, 0 as rank,
        in_plant_currency(price_per_kg, currency, ?) as by_price from offers
      union all
      select grade, width_um, length_mm, 1, -count(*) from rolls where kind = 'base' and length_mm > 0
        group by grade, width_um, length_mm) sizes
    order by grade, rank, by_price, width_um desc`,
    [today],
  );
  return rows;
}
