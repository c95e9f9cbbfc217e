// Imports a table: first a preview of every row and every fault, then all good rows or none. Both read the same bytes
// the same way; the import checks again inside its own transaction, so what it stores was right when it was stored.
import type { Knex } from 'knex';
import type { Decimal } from '../../domain/numberText.ts';
import { type Fault, fieldHead, fieldOf, type Resource, type Row } from '../../domain/resource.ts';
import { findRows, upsertRows } from '../../store/rows.ts';
import { type Delimiter, readTable, type Table, type TableRow } from '../csv/readTable.ts';
import { beforeWriting, bookWritten } from './bookWritten.ts';
import { crossCheck } from './crossChecks.ts';
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
  { mode, by }: { mode: ImportMode; by?: string },
): Promise<ImportResult> {
  const table = readTable(resource, bytes);
  return db.transaction(async (trx) => {
    await beforeWriting(trx, resource);
    const sorted = await sortRows(trx, resource, table, 'lock');
    const counts = countsOf(sorted);
    const none = counts.fresh + counts.changed + counts.unchanged === 0;
    if (sorted.faults.length > 0 && (mode === 'all-or-nothing' || none))
      return { imported: false, fresh: 0, changed: 0, unchanged: 0, faults: sorted.faults };
    const written = [...sorted.fresh, ...sorted.changed];
    await upsertRows(trx, resource, written);
    await bookWritten(trx, resource, written, { by, how: 'imported from a file', before: sorted.before });
    return { imported: true, ...counts, faults: sorted.faults };
  });
}

interface Sorted {
  fresh: Row[];
  changed: Row[];
  /** What the changed rows were. */
  before: Row[];
  unchanged: number;
  faults: Fault[];
}

const countsOf = ({ fresh, changed, unchanged }: Sorted): ImportCounts => ({
  fresh: fresh.length,
  changed: changed.length,
  unchanged,
});

interface Candidate {
  /** The row of the file. */
  number: number;
  row: Row;
  existing: Row | undefined;
  /** What is wrong with the row by itself. */
  wrong: Fault[];
}

async function sortRows(db: Knex, resource: Resource, table: Table, lock: 'lock' | 'read'): Promise<Sorted> {
  if (table.faults.length > 0)
    return { fresh: [], changed: [], before: [], unchanged: 0, faults: table.faults };
  const candidates = await readCandidates(db, resource, table, lock);
  const rows = candidates.map(({ row }) => row);
  const crossed = await crossCheck(db, resource, rows);
  const sorted: Sorted = { fresh: [], changed: [], before: [], unchanged: 0, faults: [] };
  candidates.forEach(({ number, row, existing, wrong }, index) => {
    const faults = [...wrong, ...(crossed[index] ?? [])];
    if (faults.length > 0) for (const fault of faults) sorted.faults.push({ ...fault, row: number });
    else if (!existing) sorted.fresh.push(row);
    else if (sameRow(resource, row, existing)) sorted.unchanged += 1;
    else {
      sorted.changed.push(row);
      sorted.before.push(existing);
    }
  });
  return sorted;
}

/** Every row of the file, over what is there already under the same code. */
async function readCandidates(
  db: Knex,
  resource: Resource,
  table: Table,
  lock: 'lock' | 'read',
): Promise<Candidate[]> {
  const codeOf = ({ typed }: TableRow): string => (typed[resource.key] ?? '').trim().toLowerCase();
  const codes = table.rows.map(codeOf).filter((code) => code !== '');
  const there = new Map<string, Row>();
  for (const row of await findRows(db, resource, codes, lock))
    there.set(String(row[resource.key]).toLowerCase(), row);
  const twins = rowsByCode(table.rows, codeOf);
  return table.rows.map((line) => {
    const code = codeOf(line);
    const candidate = readCandidate(resource, line, table.decimal, there.get(code));
    const alike = code === '' ? [] : (twins.get(code) ?? []);
    if (alike.length > 1) candidate.wrong.push(doubled(resource, line, alike));
    return candidate;
  });
}

function readCandidate(
  resource: Resource,
  line: TableRow,
  decimal: Decimal,
  existing: Row | undefined,
): Candidate {
  const read = readFields(resource, line.typed, decimal);
  const whole = completeRow(resource, read.given, existing);
  if (existing) whole.row[resource.key] = existing[resource.key];
  const missing = whole.faults.filter((fault) => line.typed[fault.field as string] === undefined);
  const wrong = [...line.faults, ...read.faults, ...missing];
  if (wrong.length === 0) wrong.push(...checkTogether(resource, whole.row, existing));
  return { number: line.row, row: whole.row, existing, wrong };
}

function rowsByCode(rows: readonly TableRow[], codeOf: (row: TableRow) => string): Map<string, number[]> {
  const found = new Map<string, number[]>();
  for (const row of rows) {
    const numbers = found.get(codeOf(row));
    if (numbers) numbers.push(row.row);
    else found.set(codeOf(row), [row.row]);
  }
  return found;
}

function doubled(resource: Resource, line: TableRow, alike: readonly number[]): Fault {
  const field = fieldOf(resource, resource.key);
  const code = line.typed[field.name] ?? '';
  const others = alike.slice(0, 4).filter((number) => number !== line.row);
  const wrong = `${code} is also in row ${others.slice(0, 3).join(', ')}${alike.length > 4 ? ' and more' : ''}`;
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
