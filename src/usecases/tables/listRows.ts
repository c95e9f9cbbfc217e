// Shows rows: one page of a list, or one row by its code.
import type { Knex } from 'knex';
import { parseFilter } from '../../domain/filterText.ts';
import { fieldOf, type Resource, type Row } from '../../domain/resource.ts';
import { findRows, type RowQuery, selectRows } from '../../store/rows.ts';

/** As RowQuery, but with the filters as typed on a page; texts are contained, numbers and dates may be ranges. */
export interface ListQuery extends Omit<RowQuery, 'filters'> {
  filters: Readonly<Record<string, string>>;
}

/** One page of rows in inner units, and how many there are in all. A filter that cannot be read matches nothing. */
export async function listRows(
  db: Knex,
  resource: Resource,
  query: ListQuery,
): Promise<{ rows: Row[]; total: number }> {
  const filters = readFilters(resource, query.filters);
  return filters ? selectRows(db, resource, { ...query, filters }) : { rows: [], total: 0 };
}

/** Filters in inner values; undefined when one of them is no value of its field. */
function readFilters(resource: Resource, typed: Readonly<Record<string, string>>): Row | undefined {
  const filters: Row = {};
  for (const [name, text] of Object.entries(typed)) {
    if (text.trim() === '') continue;
    const reading = parseFilter(fieldOf(resource, name), text);
    if (!reading.ok) return undefined;
    filters[name] = reading.value;
  }
  return filters;
}

/** The row with this code, or undefined. */
export async function getRow(db: Knex, resource: Resource, code: string): Promise<Row | undefined> {
  return (await findRows(db, resource, [code]))[0];
}
