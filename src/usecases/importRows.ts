// Imports a table: first a preview of every row and every fault, then all good rows or none. Both read the same bytes
// the same way; the import checks again inside its own transaction, so what it stores was right when it was stored.
import type { Knex } from 'knex';
import { type Fault, fieldHead, fieldOf, type Resource, type Row } from '../domain/resource.ts';
import { findRows, upsertRows } from '../store/rows.ts';
import { crossCheck } from './crossChecks.ts';
import { type Delimiter, readTable, type Table } from './csv/readTable.ts';
import { checkTogether, completeRow, readFields } from './rowInput.ts';

export interface ImportCounts {
  /** Rows that are not there yet. */
  fresh: number;
  /** Rows that are there and differ. */
  changed: number;
  /** Rows that are there already, just so. */
  unchanged: number;
}

export interface ImportPreview extends ImportCounts {
  delimiter: Delimiter;
  decimal: '.' | ',';
  /** Rows of the file, without heads and empty lines. */
  rows: number;
  good: number;
  faults: Fault[];
}

export interface ImportResult extends ImportCounts {
  imported: boolean;
  faults: Fault[];
}

/** `good-rows` leaves faulty rows out; with `all-or-nothing` one faulty row stops all. */
export type ImportMode = 'all-or-nothing' | 'good-rows';

/** What importing the file would do. Stores nothing and never throws over what is in the file. */
export async function previewImport(db: Knex, resource: Resource, bytes: Buffer): Promise<ImportPreview> {
  const table = readTable(resource, bytes);
  const sorted = await sortRows(db, resource, table, 'read');
  return {
    delimiter: table.delimiter,
    decimal: table.decimal === ',' ? ',' : '.',
    rows: table.rows.length,
    good: sorted.fresh.length + sorted.changed.length + sorted.unchanged,
    ...countsOf(sorted),
    faults: sorted.faults,
  };
}

/** Imports in one transaction; `imported` is false when nothing was stored because of faults. */
export async function applyImport(
  db: Knex,
  resource: Resource,
  bytes: Buffer,
  { mode }: { mode: ImportMode },
): Promise<ImportResult> {
  const table = readTable(resource, bytes);
  return db.transaction(async (trx) => {
    const sorted = await sortRows(trx, resource, table, 'lock');
    const counts = countsOf(sorted);
    const none = counts.fresh + counts.changed + counts.unchanged === 0;
    if (sorted.faults.length > 0 && (mode === 'all-or-nothing' || none))
      return { imported: false, fresh: 0, changed: 0, unchanged: 0, faults: sorted.faults };
    await upsertRows(trx, resource, [...sorted.fresh, ...sorted.changed]);
    return { imported: true, ...counts, faults: sorted.faults };
  });
}

interface Sorted {
  fresh: Row[];
  changed: Row[];
  unchanged: number;
  faults: Fault[];
}

const countsOf = ({ fresh, changed, unchanged }: Sorted): ImportCounts => ({
  fresh: fresh.length,
  changed: changed.length,
  unchanged,
});

interface Candidate {
  number: number;
  row: Row;
  existing: Row | undefined;
}

async function sortRows(db: Knex, resource: Resource, table: Table, lock: 'lock' | 'read'): Promise<Sorted> {
  if (table.faults.length > 0) return { fresh: [], changed: [], unchanged: 0, faults: table.faults };
  const { candidates, faults } = await readCandidates(db, resource, table, lock);
  const crossed = await crossCheck(
    db,
    resource,
    candidates.map(({ row }) => row),
  );
  const sorted: Sorted = { fresh: [], changed: [], unchanged: 0, faults };
  candidates.forEach(({ number, row, existing }, index) => {
    const wrong = crossed[index] ?? [];
    if (wrong.length > 0) faults.push(...wrong.map((fault) => ({ row: number, ...fault })));
    else if (!existing) sorted.fresh.push(row);
    else if (sameRow(resource, row, existing)) sorted.unchanged += 1;
    else sorted.changed.push(row);
  });
  faults.sort((a, b) => (a.row ?? 0) - (b.row ?? 0));
  return sorted;
}

/** Rows that are right by themselves, over what is there already under the same code. */
async function readCandidates(db: Knex, resource: Resource, table: Table, lock: 'lock' | 'read') {
  const key = fieldOf(resource, resource.key);
  const codes = table.rows.map(({ typed }) => (typed[key.name] ?? '').trim());
  const there = new Map<string, Row>();
  for (const row of await findRows(
    db,
    resource,
    codes.filter((code) => code !== ''),
    lock,
  ))
    there.set(String(row[key.name]).toLowerCase(), row);
  const firsts = rowsByCode(codes, table);
  const faults: Fault[] = [];
  const candidates: Candidate[] = [];
  table.rows.forEach(({ row: number, typed, faults: cellFaults }, index) => {
    const code = (codes[index] as string).toLowerCase();
    const existing = there.get(code);
    const read = readFields(resource, typed, table.decimal);
    const whole = completeRow(resource, read.given, existing);
    if (existing) whole.row[key.name] = existing[key.name];
    const wrong = [
      ...cellFaults,
      ...read.faults,
      ...whole.faults.filter((f) => typed[f.field as string] === undefined),
    ];
    const twins = code === '' ? [] : (firsts.get(code) ?? []).filter((other) => other !== number);
    if (twins.length > 0) wrong.push(doubled(resource, codes[index] as string, twins));
    if (wrong.length === 0) wrong.push(...checkTogether(resource, whole.row));
    if (wrong.length === 0) candidates.push({ number, row: whole.row, existing });
    faults.push(...wrong.map((fault) => ({ ...fault, row: number })));
  });
  return { candidates, faults };
}

function rowsByCode(codes: readonly string[], table: Table): Map<string, number[]> {
  const rows = new Map<string, number[]>();
  codes.forEach((code, index) => {
    const key = code.toLowerCase();
    rows.set(key, [...(rows.get(key) ?? []), (table.rows[index] as { row: number }).row]);
  });
  return rows;
}

function doubled(resource: Resource, code: string, twins: readonly number[]): Fault {
  const field = fieldOf(resource, resource.key);
  const also = twins.slice(0, 3).join(', ');
  const wrong = `${code} is also in row ${also}${twins.length > 3 ? ' and more' : ''}`;
  return {
    field: field.name,
    column: fieldHead(field),
    value: code,
    wrong,
    right: 'each code once in a file',
  };
}

function sameRow(resource: Resource, a: Row, b: Row): boolean {
  return resource.fields.every(
    (field) => JSON.stringify(a[field.name] ?? null) === JSON.stringify(b[field.name] ?? null),
  );
}
