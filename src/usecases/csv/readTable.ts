// A CSV file of any spreadsheet to rows of texts: finds the delimiter by trying, and the decimal sign by evidence.
import { type CsvError, parse } from 'csv-parse/sync';
import { type Decimal, decimalEvidence } from '../../domain/numberText.ts';
import type { Fault, Field, Resource } from '../../domain/resource.ts';
import type { Typed } from '../tables/rowInput.ts';
import { decodeText } from './decodeText.ts';
import { knownHeads, matchColumns } from './matchColumns.ts';

export type Delimiter = ',' | ';' | '\t';

export interface TableRow {
  /** As a spreadsheet counts: the heads are row 1. */
  row: number;
  typed: Typed;
  faults: Fault[];
}

export interface Table {
  delimiter: Delimiter;
  decimal: Decimal;
  rows: TableRow[];
  /** What is wrong with the file as a whole; then no row of it can be trusted. */
  faults: Fault[];
}

/** More than any plant has, little enough to be checked in memory. */
const MOST_ROWS = 100_000;
const DELIMITERS: readonly Delimiter[] = [',', ';', '\t'];
const NUMBERS = new Set(['widthMm', 'lengthM', 'thicknessUm', 'count', 'decimal', 'money', 'percent']);

/** Never throws: what cannot be read is a fault of the file. */
export function readTable(resource: Resource, bytes: Buffer): Table {
  const decoded = decodeText(bytes);
  if (!decoded.ok) return broken(',', { value: '', wrong: decoded.wrong, right: decoded.right });
  const named = /^sep=([,;\t])\r?\n/i.exec(decoded.text);
  const skipped = named ? 1 : 0;
  const text = named ? decoded.text.slice(named[0].length) : decoded.text;
  const delimiter = (named?.[1] as Delimiter | undefined) ?? findDelimiter(resource, text);
  const records = readRecords(text, delimiter);
  if (!Array.isArray(records)) return broken(delimiter, records);
  const start = records.findIndex((record) => record.some((cell) => cell.trim() !== ''));
  const heads = records[start];
  if (!heads)
    return broken(delimiter, { value: '', wrong: 'the file is empty', right: 'a line of column names' });
  const { fields, faults } = matchColumns(resource, heads);
  if (faults.length > 0) return { delimiter, decimal: '.', rows: [], faults };
  const rows = records
    .slice(start + 1)
    .map((cells, index) => ({ cells, row: skipped + start + index + 2 }))
    .filter(({ cells }) => cells.some((cell) => cell.trim() !== ''))
    .map(({ cells, row }) => tableRow(cells, row, fields));
  if (rows.length === 0)
    return broken(delimiter, {
      value: '',
      wrong: 'the file has column names and no rows',
      right: 'at least one row',
    });
  if (rows.length > MOST_ROWS)
    return broken(delimiter, {
      value: `${rows.length} rows`,
      wrong: 'the file has too many rows',
      right: `up to ${MOST_ROWS} rows; part the file`,
    });
  return { delimiter, decimal: findDecimal(delimiter, fields, rows), rows, faults: [] };
}

function broken(delimiter: Delimiter, fault: Fault): Table {
  return { delimiter, decimal: '.', rows: [], faults: [fault] };
}

function readRecords(text: string, delimiter: Delimiter, most?: number): string[][] | Fault {
  try {
    const options = { delimiter, relax_column_count: true, relax_quotes: true, skip_empty_lines: false };
    return parse(text, most === undefined ? options : { ...options, to: most }) as string[][];
  } catch (error) {
    const { lines, code } = error as CsvError & { lines?: number };
    const wrong =
      code === 'CSV_QUOTE_NOT_CLOSED'
        ? `a quotation mark that is opened in line ${lines ?? '?'} is never closed`
        : `the table cannot be read at line ${lines ?? '?'}`;
    return { value: '', wrong, right: 'every quotation mark closed, a quotation mark inside a text doubled' };
  }
}

/** The delimiter under which most heads are known; else the one that gives most columns. */
function findDelimiter(resource: Resource, text: string): Delimiter {
  const head =
    text
      .slice(0, 20_000)
      .split(/\r\n|\r|\n/)
      .find((line) => line.trim() !== '') ?? '';
  const scored = DELIMITERS.map((delimiter) => {
    const records = readRecords(head, delimiter, 1);
    const heads = Array.isArray(records) ? (records[0] ?? []) : [];
    return { delimiter, score: knownHeads(resource, heads) * 1000 + heads.length };
  });
  return scored.reduce((best, one) => (one.score > best.score ? one : best)).delimiter;
}

function tableRow(cells: readonly string[], row: number, fields: readonly (Field | undefined)[]): TableRow {
  const typed: Record<string, string> = {};
  const faults: Fault[] = [];
  cells.forEach((cell, index) => {
    const field = fields[index];
    if (field) typed[field.name] = plainCell(field, cell);
    else if (cell.trim() !== '')
      faults.push({
        row,
        value: cell,
        wrong: `column ${index + 1} has a value and no name`,
        right: 'a name above it',
      });
  });
  return { row, typed, faults };
}

/** Takes back the apostrophe that an export puts before a text that a spreadsheet would run as a formula. */
function plainCell(field: Field, cell: string): string {
  return !NUMBERS.has(field.kind) && /^'+[=+\-@]/.test(cell) ? cell.slice(1) : cell;
}

function findDecimal(
  delimiter: Delimiter,
  fields: readonly (Field | undefined)[],
  rows: readonly TableRow[],
): Decimal {
  const numeric = fields
    .filter((field) => field && NUMBERS.has(field.kind))
    .map((field) => (field as Field).name);
  const seen = { '.': 0, ',': 0 };
  for (const { typed } of rows) {
    for (const name of numeric) {
      const sign = decimalEvidence(typed[name] ?? '');
      if (sign) seen[sign] += 1;
    }
  }
  if (seen['.'] === 0 && seen[','] === 0) return delimiter === ',' ? '.' : 'unknown';
  return seen[','] > seen['.'] ? ',' : '.';
}
