// What a reference may point to: offered in forms and filters to choose from, and named where it is shown.
import { type Field, type Resource, type Row, shownByName } from '../domain/resource.ts';
import { RESOURCES } from '../domain/resources.ts';
import { listRows } from '../usecases/tables/listRows.ts';
import { namesOf } from '../usecases/tables/namesOf.ts';
import type { Services } from './services.ts';

/** A reference with at most so many targets offers them all to choose from. */
const MOST_CHOICES = 300;

interface Choice {
  code: string;
  name: string;
}

/** What a reference may point to; empty when it is no reference, or there are too many to choose from. */
export async function choicesOf(services: Services, field: Field): Promise<Choice[]> {
  const targets = field.toBy ? Object.values(field.toBy.targets) : field.to ? [field.to] : [];
  const lists = await Promise.all([...new Set(targets)].map((name) => targetsOf(services, RESOURCES[name])));
  const all = lists.flat();
  return all.length > MOST_CHOICES ? [] : all;
}

async function targetsOf(services: Services, target: Resource): Promise<Choice[]> {
  const query = { page: 1, pageSize: MOST_CHOICES + 1, sort: target.key, descending: false };
  const { rows } = await listRows(services.db, target, { ...query, filters: {}, search: '' });
  return rows.map((row) => ({
    code: String(row[target.key]),
    name: String(row.name ?? row.polymer ?? ''),
  }));
}

/** Names by field and code, for the references of these rows whose codes say little. */
export async function shownNames(services: Services, resource: Resource, rows: readonly Row[]) {
  const fields = resource.fields.filter(shownByName);
  const named = fields.map(async (field) => {
    const codes = rows.map((row) => String(row[field.name]));
    return [field.name, await namesOf(services.db, RESOURCES[field.to as 'customers'], codes)] as const;
  });
  return new Map(await Promise.all(named));
}
