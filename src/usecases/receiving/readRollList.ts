// A supplier's roll list as pasted, scanned or typed, to rows of texts. With a line of column names it is a table like any
// import; without one its columns are roll, length, mass, diameter, and blanks may part them.
import { PLAIN_COLUMNS, ROLL_LIST } from '../../domain/receipt.ts';
import { knownHeads } from '../csv/matchColumns.ts';
import { readTable, type Table } from '../csv/readTable.ts';

const EMPTY = { value: '', wrong: 'the roll list is empty', right: 'one roll a line' };

/** Never throws; an empty list is a fault of the table. Rows count from 1 in a plain list, from 2 under column names. */
export function readRollList(text: string): Table {
  const lines = text.split(/\r\n|\r|\n/);
  const first = lines.find((line) => line.trim() !== '') ?? '';
  if (first === '') return { delimiter: ',', decimal: '.', rows: [], faults: [EMPTY] };
  if (hasHeads(first)) return readTable(ROLL_LIST, Buffer.from(text, 'utf8'));
  const parted = lines.map((line) => (/[;\t]/.test(line) ? line.replaceAll('\t', ';') : byBlanks(line)));
  const table = readTable(ROLL_LIST, Buffer.from([PLAIN_COLUMNS.join(';'), ...parted].join('\n'), 'utf8'));
  const up = <T extends { row?: number }>(one: T): T =>
    one.row === undefined ? one : { ...one, row: one.row - 1 };
  return { ...table, rows: table.rows.map((row) => ({ ...up(row), faults: row.faults.map(up) })) };
}

/** A name of a column that is not also the number of a roll. */
function hasHeads(line: string): boolean {
  return [';', '\t', ','].some((sign) => knownHeads(ROLL_LIST, line.split(sign)) > 0);
}

/** "J-4411 18000 146.9" and "J-4411, 18000, 146.9"; a comma inside a number stays. */
const byBlanks = (line: string): string => line.trim().replace(/,?\s+/g, ';');
