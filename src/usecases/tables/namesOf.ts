// The names behind codes, for lists: a customer's code says little to a reader, the name does.
import type { Knex } from 'knex';
import type { Resource } from '../../domain/resource.ts';
import { findRows } from '../../store/rows.ts';

/** Name by code of the rows that exist; codes as they are spelt in the database. */
export async function namesOf(
  db: Knex,
  resource: Resource,
  codes: readonly string[],
): Promise<Map<string, string>> {
  const rows = await findRows(db, resource, [...new Set(codes)]);
  return new Map(rows.map((row) => [String(row[resource.key]), String(row.name)]));
}
