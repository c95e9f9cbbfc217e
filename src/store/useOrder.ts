// First expired, first out: in which order the released rolls of an item should be used. Rolls without a use-by day come
// after those with one, the longest in the house first.
import type { Knex } from 'knex';

export interface UseOrder {
  /** From 1. */
  place: number;
  of: number;
}

/** By roll, those among `codes` that may be used today; rolls of order lines are for their customers and not counted. */
export async function useOrder(
  db: Knex,
  codes: readonly string[],
  today: string,
): Promise<Map<string, UseOrder>> {
  if (codes.length === 0) return new Map();
  const items = await db('rolls').whereIn('code', codes).distinct().pluck('item');
  const { rows } = await db.raw(
    `select * from (
       select code, (row_number() over item_order)::int as place, count(*) over (partition by item)::int as of
       from rolls
       where item = any(:items) and status = 'released' and kind <> 'finished'
         and (use_by is null or use_by >= :today)
       window item_order as (partition by item order by use_by nulls last, received_on nulls last, code)) as placed
     where code = any(:codes)`,
    { items, codes: [...codes], today },
  );
  return new Map(rows.map(({ code, place, of }: UseOrder & { code: string }) => [code, { place, of }]));
}
