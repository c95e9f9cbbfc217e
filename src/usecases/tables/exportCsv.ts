// Exports rows as a CSV file that this program imports again unchanged: commas, decimal points, UTF-8 with byte order
// mark (spreadsheets need it to read accents), quoted as RFC 4180 says.
import type { Knex } from 'knex';
import { printField } from '../../domain/fieldText.ts';
import { fieldHead, type Resource, type Row } from '../../domain/resource.ts';
import { type ListQuery, listRows } from './listRows.ts';

const PAGE = 2000;
const TEXTS = new Set(['code', 'text', 'note', 'reference', 'references', 'dates', 'rollMap', 'choice']);

/** All rows of the list with these filters and search, in its order. */
export async function exportCsv(
  db: Knex,
  resource: Resource,
  query: Partial<Pick<ListQuery, 'sort' | 'descending' | 'filters' | 'search'>> = {},
): Promise<string> {
  const whole = { sort: resource.key, descending: false, filters: {}, search: '', ...query };
  const lines = [resource.fields.map((field) => cell(fieldHead(field))).join(',')];
  await db.transaction(
    async (trx) => {
      for (let page = 1; ; page += 1) {
        const { rows } = await listRows(trx, resource, { ...whole, page, pageSize: PAGE });
        lines.push(...rows.map((row) => printLine(resource, row)));
        if (rows.length < PAGE) return;
      }
    },
    { isolationLevel: 'repeatable read', readOnly: true },
  );
  return `\ufeff${lines.join('\r\n')}\r\n`;
}

function printLine(resource: Resource, row: Row): string {
  return resource.fields
    .map((field) => {
      const text = printField(field, row[field.name]);
      return TEXTS.has(field.kind) ? csvText(text) : cell(text);
    })
    .join(',');
}

/** A cell of text: one that a spreadsheet would run as a formula gets an apostrophe before it; the import takes it back. */
export function csvText(text: string): string {
  return cell(/^'*[=+\-@]/.test(text) ? `'${text}` : text);
}

function cell(text: string): string {
  return /[",;\t\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
