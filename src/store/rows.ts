// Reads and writes the rows of any resource, in inner units. Codes are found without regard to case.
import type { Knex } from 'knex';
import { Between } from '../domain/filterText.ts';
import { type Field, fieldOf, type Resource, type Row, shownByName } from '../domain/resource.ts';
import { columnsOf, keyColumn, plainFields, selection, tableOf, writeListed } from './tables.ts';

export interface RowQuery {
  /** From 1. */
  page: number;
  pageSize: number;
  /** Field name; rows without value come last, equal ones by code; a reference shown by its name is sorted by it. */
  sort: string;
  descending: boolean;
  /** Inner values by field name: texts are contained, ranges include their ends, everything else is equal. */
  filters: Readonly<Record<string, unknown>>;
  /** Contained in any of the row's texts and codes. */
  search: string;
}

const SEARCHED = new Set(['code', 'text', 'note', 'reference', 'choice']);
const CHUNK = 1000;

const contains = (text: string): string => `%${text.replace(/[\\%_]/g, '\\$&')}%`;

function matching(
  db: Knex,
  resource: Resource,
  query: Pick<RowQuery, 'filters' | 'search'>,
): Knex.QueryBuilder {
  const rows = db(`${tableOf(resource)} as t`);
  for (const [name, value] of Object.entries(query.filters)) {
    const field = fieldOf(resource, name);
    const column = `t.${field.column}`;
    if (value instanceof Between) {
      if (value.from !== null) rows.where(column, '>=', value.from as Knex.Value);
      if (value.to !== null) rows.where(column, '<=', value.to as Knex.Value);
    } else if (field.kind === 'text' || field.kind === 'note')
      rows.where(column, 'ilike', contains(String(value)));
    else if (field.kind === 'reference' || field.kind === 'code')
      rows.whereRaw('lower(??) = lower(?)', [column, String(value)]);
    else rows.where(column, value as Knex.Value);
  }
  if (query.search !== '') {
    const searched = plainFields(resource).filter((field) => SEARCHED.has(field.kind));
    rows.where((any) => {
      for (const field of searched) any.orWhere(`t.${field.column}`, 'ilike', contains(query.search));
    });
  }
  return rows;
}

function sortingOf(db: Knex, resource: Resource, { sort, descending }: RowQuery): Knex.Raw {
  const field = fieldOf(resource, sort);
  const order = descending ? 'desc' : 'asc';
  const code = `t.${keyColumn(resource)}`;
  return db.raw(`? ${order} nulls last, ?? ${order}`, [sortedValue(db, field), code]);
}

function sortedValue(db: Knex, field: Field): Knex.Raw {
  const column = `t.${field.column}`;
  if (!shownByName(field)) return db.raw('??', [column]);
  return db.raw('(select n.name from ?? n where n.code = ??)', [String(field.to), column]);
}

/** One page of rows and how many there are in all. */
export async function selectRows(
  db: Knex,
  resource: Resource,
  query: RowQuery,
): Promise<{ rows: Row[]; total: number }> {
  const sorting = sortingOf(db, resource, query);
  // The page is cut out first, so that lists and maps are put together for its rows only.
  const page = matching(db, resource, query)
    .select('t.*')
    .orderByRaw(sorting)
    .limit(query.pageSize)
    .offset((query.page - 1) * query.pageSize);
  const rows = await db.from(page.as('t')).select(selection(db, resource)).orderByRaw(sorting);
  const [counted] = await matching(db, resource, query).count({ total: '*' });
  return { rows, total: Number(counted?.total) };
}

/** The rows with these codes, in no order; unknown codes are simply not there. `lock` holds them until the end of the transaction. */
export async function findRows(
  db: Knex,
  resource: Resource,
  codes: readonly string[],
  lock: 'lock' | 'read' = 'read',
): Promise<Row[]> {
  const found: Row[] = [];
  // In the order of the codes, so that two imports that lock the same rows wait for each other instead of for ever.
  for (const part of chunks(codes.map((code) => code.toLowerCase()).sort())) {
    const rows = db(`${tableOf(resource)} as t`)
      .select(selection(db, resource))
      .whereRaw('lower(t.??) = any(?)', [keyColumn(resource), part])
      .orderByRaw('lower(t.??) collate "C"', [keyColumn(resource)]);
    found.push(...(await (lock === 'lock' ? rows.forUpdate('t') : rows)));
  }
  return found;
}

/** Which of these codes exist, as they are spelt in the database, by their lower-case form. */
export async function findCodes(
  db: Knex,
  resource: Resource,
  codes: readonly string[],
): Promise<Map<string, string>> {
  const found = new Map<string, string>();
  for (const part of chunks(codes.map((code) => code.toLowerCase()))) {
    const key = keyColumn(resource);
    const rows = await db(tableOf(resource))
      .select({ code: key })
      .whereRaw('lower(??) = any(?)', [key, part]);
    for (const { code } of rows) found.set(code.toLowerCase(), code);
  }
  return found;
}

function* chunks<T>(items: readonly T[]): Generator<T[]> {
  for (let from = 0; from < items.length; from += CHUNK) yield items.slice(from, from + CHUNK);
}

/** Inserts rows, or replaces those with the same code. Call it in a transaction. */
export async function upsertRows(trx: Knex, resource: Resource, rows: readonly Row[]): Promise<void> {
  const byKey = (a: Row, b: Row): number => (String(a[resource.key]) < String(b[resource.key]) ? -1 : 1);
  for (const part of chunks([...rows].sort(byKey))) {
    await trx(tableOf(resource))
      .insert(part.map((row) => columnsOf(resource, row)))
      .onConflict(keyColumn(resource))
      .merge();
    await writeListed(trx, resource, part);
  }
}

/** Replaces one row, which may get another code while nothing refers to it. */
export async function updateRow(trx: Knex, resource: Resource, code: string, row: Row): Promise<void> {
  await trx(tableOf(resource)).where(keyColumn(resource), code).update(columnsOf(resource, row));
  await writeListed(trx, resource, [row]);
}

/** Deletes one row; false when there is none. */
export async function removeRow(trx: Knex, resource: Resource, code: string): Promise<boolean> {
  const deleted = await trx(tableOf(resource))
    .whereRaw('lower(??) = lower(?)', [keyColumn(resource), code])
    .delete();
  return deleted > 0;
}

const SEED_LOCK = 72_015;

/** Until the end of the transaction only one program may look whether the database is empty, and fill it. */
export async function lockForSeeding(trx: Knex): Promise<void> {
  await trx.raw('select pg_advisory_xact_lock(?)', [SEED_LOCK]);
}
