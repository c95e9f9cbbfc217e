// Tables of a form in which rows are typed: the cells are named by list, field and place, such as bases-roll-0, and come
// back as they were typed. Empty rows mean nothing.
import { type Fault, type Field, fieldHead } from '../domain/resource.ts';
import { choicesOf } from './choices.ts';
import type { Services } from './services.ts';
import type { TypedTexts } from './tables/fieldInputs.ts';

const MOST_ROWS = 60;

export function typedRows(
  list: string,
  fields: readonly Field[],
  body: Record<string, unknown>,
): TypedTexts[] {
  const first = fields.map(({ name }) => `${list}-${name}-`);
  const places = Object.keys(body).flatMap((key) => {
    const begin = first.find((one) => key.startsWith(one));
    const place = begin === undefined ? '' : key.slice(begin.length);
    return /^\d{1,2}$/.test(place) ? [Number(place)] : [];
  });
  const many = Math.min(MOST_ROWS, Math.max(-1, ...places) + 1);
  return Array.from({ length: many }, (_, place) =>
    Object.fromEntries(fields.map(({ name }) => [name, String(body[`${list}-${name}-${place}`] ?? '')])),
  );
}

export interface RowsForm {
  list: string;
  /** How a row is called, for those who hear the page. */
  row: string;
  fields: readonly Field[];
  typed: readonly TypedTexts[];
  /** Empty rows to begin with. */
  least: number;
  faults: readonly (Fault & { list?: string; place?: number })[];
  /** Offered to choose from, by field. */
  offered?: Readonly<Record<string, readonly string[]>>;
}

/** What views/_typedRows.ejs draws. */
export async function rowsModel(services: Services, form: RowsForm) {
  const { list, row, fields, typed, faults, least, offered = {} } = form;
  const many = Math.min(MOST_ROWS, Math.max(least, typed.length));
  const cell = (field: Field, place: number) => ({
    id: `${list}-${field.name}-${place}`,
    label: `${fieldHead(field)}, ${row} ${place + 1}`,
    value: typed[place]?.[field.name] ?? '',
    listId: field.kind === 'reference' || offered[field.name] ? `l-${list}-${field.name}` : '',
    wide: !field.unit && field.kind !== 'date' && field.kind !== 'count',
    hint: field.kind === 'date' ? 'yyyy-mm-dd' : '',
    fault: faults.find((one) => one.list === list && one.place === place && one.field === field.name),
  });
  return {
    list,
    row,
    heads: fields.map((field) => ({ text: fieldHead(field), required: field.required === true })),
    rows: Array.from({ length: many }, (_, place) => fields.map((field) => cell(field, place))),
    choices: await Promise.all(
      fields
        .filter((field) => field.kind === 'reference' || offered[field.name])
        .map(async (field) => ({
          id: `l-${list}-${field.name}`,
          options: (offered[field.name] ?? [])
            .map((code) => ({ code, name: '' }))
            .concat(await choicesOf(services, field)),
        })),
    ),
  };
}
