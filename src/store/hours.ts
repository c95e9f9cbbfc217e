// What the hours of a slitter are estimated from: how wide the film of each product or grade is.
import type { Knex } from 'knex';

/** The widest released roll of each item, um. */
export async function widestWebs(db: Knex): Promise<Map<string, number>> {
  const rows = await db('rolls')
    .where('status', 'released')
    .whereNot('kind', 'finished')
    .groupBy('item')
    .select({ item: 'item', widthUm: db.raw('max(width_um)') });
  return new Map(rows.map((row: { item: string; widthUm: number }) => [row.item, Number(row.widthUm)]));
}
