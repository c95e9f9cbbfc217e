// Saves one row as typed: a new one, or an existing one under its code. Everything is checked before anything is
// written, and what was wrong comes back by field.
import type { Knex } from 'knex';
import { Refusal } from '../../domain/refusal.ts';
import { type Fault, fieldHead, fieldOf, type Resource, type Row } from '../../domain/resource.ts';
import { breaksReference, isTaken } from '../../store/databaseErrors.ts';
import { findRows, updateRow, upsertRows } from '../../store/rows.ts';
import { beforeWriting, bookWritten } from './bookWritten.ts';
import { crossCheck } from './crossChecks.ts';
import { usersOf } from './deleteRow.ts';
import { checkTogether, completeRow, readFields, type Typed } from './rowInput.ts';
import { changedMeanwhile, markOfRow } from './rowSeen.ts';

/** `now`: somebody else changed the row meanwhile; this is the mark of it as it is. */
export type Saved = { ok: true; row: Row } | { ok: false; faults: Fault[]; now?: string };

export interface Existing {
  /** The row to change; without it a new one is made. */
  code?: string;
  /** The mark of the row as it was shown (rowSeen.ts); without it the last to save wins. */
  seen?: string;
  /** Who saves it, for the ledger of stock. */
  by?: string;
}

/**
 * `typed` in edge units, by field name. A new row whose code is taken is a
 * fault. Throws a Refusal when the row to change is gone, or when its code is to change while others use it.
 */
export async function saveRow(
  db: Knex,
  resource: Resource,
  typed: Typed,
  existing: Existing = {},
): Promise<Saved> {
  try {
    return await db.transaction((trx) => saveChecked(trx, resource, typed, existing));
  } catch (error) {
    if (isTaken(error)) return { ok: false, faults: [taken(resource, typed[resource.key] ?? '')] };
    if (breaksReference(error) && existing.code !== undefined)
      throw new Refusal('in-use', {
        what: resource.singular,
        code: existing.code,
        by: await usersOf(db, resource, existing.code, error),
      });
    throw error;
  }
}

async function saveChecked(
  trx: Knex,
  resource: Resource,
  typed: Typed,
  { code, seen, by }: Existing,
): Promise<Saved> {
  await beforeWriting(trx, resource);
  const read = readFields(resource, typed, 'auto');
  const before = code === undefined ? undefined : (await findRows(trx, resource, [code], 'lock'))[0];
  if (code !== undefined && !before) throw new Refusal('not-found', { what: resource.singular, code });
  const now = before && markOfRow(resource, before);
  if (before && seen !== undefined && seen !== now) {
    const changed = changedMeanwhile(resource, before, typed);
    if (changed.length > 0) return { ok: false, faults: changed, now };
  }
  const whole = completeRow(resource, read.given, before);
  const faults = [
    ...read.faults,
    ...whole.faults.filter((fault) => !read.faults.some((f) => f.field === fault.field)),
  ];
  if (before) {
    faults.push(...fixedFields(resource, whole.row, before));
    whole.row = resource.settle?.(before, whole.row) ?? whole.row;
  }
  if (faults.length === 0) faults.push(...checkTogether(resource, whole.row, before));
  faults.push(...((await crossCheck(trx, resource, [whole.row]))[0] ?? []));
  if (faults.length > 0) return { ok: false, faults };
  if (before) await updateRow(trx, resource, String(before[resource.key]), whole.row);
  else {
    const key = String(whole.row[resource.key]);
    if ((await findRows(trx, resource, [key])).length > 0)
      return { ok: false, faults: [taken(resource, key)] };
    await upsertRows(trx, resource, [whole.row]);
  }
  const how = before ? 'changed by hand' : 'entered by hand';
  await bookWritten(trx, resource, [whole.row], { by, how, before: before ? [before] : [] });
  return { ok: true, row: whole.row };
}

/** Fields that a form may give a new row only. */
function fixedFields(resource: Resource, row: Row, before: Row): Fault[] {
  return resource.fields
    .filter(({ name, onlyNew }) => onlyNew !== undefined && row[name] !== before[name])
    .map((field) => ({
      field: field.name,
      column: fieldHead(field),
      value: String(row[field.name] ?? ''),
      wrong: `it is ${String(before[field.name])}, and a form does not change that`,
      right: String(field.onlyNew),
    }));
}

function taken(resource: Resource, code: string): Fault {
  const field = fieldOf(resource, resource.key);
  const wrong = `${resource.singular} ${code} is there already`;
  return {
    field: field.name,
    column: fieldHead(field),
    value: code,
    wrong,
    right: 'a code that is not taken, or change that one',
  };
}
