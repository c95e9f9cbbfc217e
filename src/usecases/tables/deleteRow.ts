// Deletes one row, unless others still refer to it: then it says which.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import type { Resource } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { breaksReference, referringTable } from '../../store/databaseErrors.ts';
import { removeRow } from '../../store/rows.ts';
import { tableOf } from '../../store/tables.ts';

/** Throws a Refusal: `not-found` when there is none, `in-use` with what uses it, `in-ledger` for any roll. */
export async function deleteRow(db: Knex, resource: Resource, code: string): Promise<void> {
  try {
    if (await db.transaction((trx) => removeRow(trx, resource, code))) return;
  } catch (error) {
    if (!breaksReference(error)) throw error;
    if (resource.name === 'rolls') throw new Refusal('in-ledger', { code });
    throw new Refusal('in-use', {
      what: resource.singular,
      code,
      by: await usersOf(db, resource, code, error),
    });
  }
  throw new Refusal('not-found', { what: resource.singular, code });
}

const MOST_NAMED = 5;

/** Who refers to the row, in words: "roll R7001", "3 offers", read from the error's table and the rows themselves. */
export async function usersOf(db: Knex, resource: Resource, code: string, error: unknown): Promise<string[]> {
  const table = referringTable(error);
  const link = /^product_(grades|slitters)$/.exec(table);
  if (link) {
    const codes = await db(table)
      .whereRaw('lower(code) = lower(?)', [code])
      .orderBy('product')
      .pluck('product');
    return named(RESOURCES.products, codes);
  }
  const user = Object.values(RESOURCES).find((one) => tableOf(one) === table);
  const field = user?.fields.find(
    (one) => one.to === resource.name || Object.values(one.toBy?.targets ?? {}).includes(resource.name),
  );
  if (!user || !field) return [table];
  const codes = await db(table)
    .whereRaw('lower(??) = lower(?)', [field.column, code])
    .orderBy('code')
    .pluck('code');
  return named(user, codes);
}

function named(resource: Resource, codes: readonly string[]): string[] {
  const shown = codes.slice(0, MOST_NAMED).map((code) => `${resource.singular} ${code}`);
  return codes.length > MOST_NAMED
    ? [...shown, `${codes.length - MOST_NAMED} more ${resource.plural}`]
    : shown;
}
