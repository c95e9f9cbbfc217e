// The address of a list says everything about it: search, filters, sorting, page. So a list can be linked,
// kept as a bookmark and gone back to. A name or value that the list does not know is named, not ignored.
import { parseFilter } from '../../domain/filterText.ts';
import { type Fault, type Field, fieldHead, type Resource } from '../../domain/resource.ts';

export const PAGE_SIZES = [25, 50, 100, 200] as const;

export interface ListQuery {
  page: number;
  pageSize: number;
  sort: string;
  descending: boolean;
  /** As typed, by field name; only what is not empty. */
  filters: Record<string, string>;
  search: string;
}

type Given = Record<string, unknown>;
const NOT_SORTED = new Set(['references', 'dates', 'rollMap', 'note']);

export const sortable = (field: Field): boolean => !NOT_SORTED.has(field.kind);
export const filterFields = (resource: Resource): Field[] => resource.fields.filter((f) => f.filter);
const firstSort = (resource: Resource): string => (resource.name === 'orders' ? 'dueOn' : resource.key);

const fault = (field: string, value: string, wrong: string, right: string): Fault => ({
  field,
  value,
  wrong,
  right,
});

/** Reads the query of a list's address; faults name what is unknown, and then the list is not shown. */
export function readListQuery(resource: Resource, given: Given): { query: ListQuery; faults: Fault[] } {
  const faults: Fault[] = [];
  const take = wordTaker(given, faults);
  const query: ListQuery = {
    page: wholeNumber('page', take('page'), 1, faults),
    pageSize: wholeNumber('size', take('size'), 50, faults, PAGE_SIZES),
    sort: take('sort') || firstSort(resource),
    descending: take('down') === 'yes',
    filters: readFilters(resource, take, faults),
    search: take('q').trim(),
  };
  const sorted = resource.fields.filter((f) => f.inList && sortable(f)).map((f) => f.name);
  if (!sorted.includes(query.sort))
    faults.push(
      fault(
        'sort',
        query.sort,
        `there is no column "${query.sort}" to sort by`,
        `one of: ${sorted.join(', ')}`,
      ),
    );
  faults.push(...unknownNames(resource, given));
  return { query, faults };
}

function wordTaker(given: Given, faults: Fault[]): (name: string) => string {
  return (name) => {
    const value = given[name];
    if (value === undefined || typeof value === 'string') return value ?? '';
    faults.push(fault(name, String(value), `"${name}" is given more than once`, 'give it once'));
    return '';
  };
}

function wholeNumber(
  name: string,
  text: string,
  otherwise: number,
  faults: Fault[],
  among?: readonly number[],
): number {
  if (text === '') return otherwise;
  const value = Number(text);
  if (/^\d{1,7}$/.test(text) && value >= 1 && (!among || among.includes(value))) return value;
  const right = among ? `one of: ${among.join(', ')}` : 'a whole number from 1';
  faults.push(fault(name, text, `"${text}" is not a ${name}`, right));
  return otherwise;
}

function readFilters(
  resource: Resource,
  take: (name: string) => string,
  faults: Fault[],
): Record<string, string> {
  const filters: Record<string, string> = {};
  for (const field of filterFields(resource)) {
    const text = take(field.name).trim();
    if (text === '') continue;
    const reading = parseFilter(field, text);
    if (reading.ok) filters[field.name] = text;
    else faults.push({ ...reading.fault, column: fieldHead(field) });
  }
  return filters;
}

const LIST_NAMES = ['page', 'size', 'sort', 'down', 'q', 'did'];

function unknownNames(resource: Resource, given: Given): Fault[] {
  const known = [...LIST_NAMES, ...filterFields(resource).map((f) => f.name)];
  return Object.keys(given)
    .filter((name) => !known.includes(name))
    .map((name) =>
      fault(
        name,
        String(given[name]),
        `a list of ${resource.plural} has no "${name}"`,
        `one of: ${known.join(', ')}`,
      ),
    );
}

/** The address of the same list with some parts changed; what is as usual is left out. */
export function listHref(resource: Resource, query: ListQuery, change: Partial<ListQuery> = {}): string {
  return `/${resource.name}${queryText(resource, { ...query, ...change })}`;
}

/** The query part of a list's address, with its question mark; empty when everything is as usual. */
export function queryText(resource: Resource, query: ListQuery): string {
  const parts = new URLSearchParams();
  if (query.search) parts.set('q', query.search);
  for (const [name, value] of Object.entries(query.filters)) parts.set(name, value);
  if (query.sort !== firstSort(resource)) parts.set('sort', query.sort);
  if (query.descending) parts.set('down', 'yes');
  if (query.pageSize !== 50) parts.set('size', String(query.pageSize));
  if (query.page > 1) parts.set('page', String(query.page));
  return parts.size > 0 ? `?${parts}` : '';
}
