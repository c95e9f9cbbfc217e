// How a resource lies in the database: its table, its columns, and the two kinds of field that have tables of their own
// (lists of codes, roll maps). Everything that reads or writes rows goes through these names.
import type { Knex } from 'knex';
import { type Field, fieldOf, type Resource, type Row } from '../domain/resource.ts';
import type { BadPlace } from '../domain/rollMap.ts';

export const tableOf = (resource: Resource): string =>
  resource.name === 'orders' ? 'order_lines' : resource.name;
export const keyColumn = (resource: Resource): string => fieldOf(resource, resource.key).column;

/** A field whose values lie in a table of their own. */
const isListed = (field: Field): boolean => field.kind === 'references' || field.kind === 'rollMap';
export const plainFields = (resource: Resource): Field[] =>
  resource.fields.filter((field) => !isListed(field));
const listedFields = (resource: Resource): Field[] => resource.fields.filter(isListed);

/** product_grades, product_slitters: one row for each code, with its position. */
const linkTable = (resource: Resource, field: Field): string =>
  `${resource.singular.split(' ').at(-1)}_${field.column}`;
const linkOwner = (resource: Resource): string => String(resource.singular.split(' ').at(-1));

const PLACES = `
  select coalesce(json_agg(json_build_object(
    'fromMm', d.from_mm, 'toMm', d.to_mm, 'fromUm', d.from_um, 'toUm', d.to_um, 'kind', d.kind) order by d.position), '[]')
  from roll_defects d where d.roll = t.code`;

/** The select list that gives rows of the resource, from its table named t. */
export function selection(db: Knex, resource: Resource): Knex.Raw[] {
  return resource.fields.map((field) => {
    if (field.kind === 'rollMap') return db.raw(`(${PLACES}) as ??`, [field.name]);
    if (field.kind !== 'references') return db.raw('t.?? as ??', [field.column, field.name]);
    const codes =
      "select coalesce(array_agg(l.code order by l.position), '{}') from ?? l where l.?? = t.code";
    return db.raw(`(${codes}) as ??`, [linkTable(resource, field), linkOwner(resource), field.name]);
  });
}

/** The row's values by column, without what lies in other tables. */
export function columnsOf(resource: Resource, row: Row): Record<string, unknown> {
  return Object.fromEntries(plainFields(resource).map((field) => [field.column, row[field.name] ?? null]));
}

/** Replaces what lies in other tables for these rows. */
export async function writeListed(trx: Knex, resource: Resource, rows: readonly Row[]): Promise<void> {
  const codes = rows.map((row) => row[resource.key] as string);
  for (const field of listedFields(resource)) {
    const places = field.kind === 'rollMap';
    const table = places ? 'roll_defects' : linkTable(resource, field);
    const owner = places ? 'roll' : linkOwner(resource);
    await trx(table).whereIn(owner, codes).delete();
    const entries = rows.flatMap((row) =>
      ((row[field.name] ?? []) as unknown[]).map((value, position) => ({
        [owner]: row[resource.key],
        position,
        ...(places ? placeColumns(value as BadPlace) : { code: value }),
      })),
    );
    if (entries.length > 0) await trx.batchInsert(table, entries, 1000);
  }
}

function placeColumns(place: BadPlace) {
  const { fromMm, toMm, fromUm, toUm, kind } = place;
  return { from_mm: fromMm, to_mm: toMm, from_um: fromUm, to_um: toUm, kind };
}

/** True when none of these resources has a row, and no plan was ever made. */
export async function isEmpty(db: Knex, resources: readonly Resource[]): Promise<boolean> {
  for (const table of [...resources.map(tableOf), 'plans']) {
    if (await db(table).first(db.raw('1'))) return false;
  }
  return true;
}
