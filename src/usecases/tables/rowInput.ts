// From texts, typed or read from a file, to a row in inner units: each field alone, then what the fields say together.
// A field that is not given keeps its value in a row that exists, and takes its default in a new one.
import { parseField } from '../../domain/fieldText.ts';
import type { Decimal } from '../../domain/numberText.ts';
import { type Fault, type Field, fieldHead, type Resource, type Row } from '../../domain/resource.ts';

export type Typed = Readonly<Record<string, string>>;

/** The given fields only, in inner units; and what is wrong with them. */
export function readFields(
  resource: Pick<Resource, 'fields'>,
  typed: Typed,
  decimal: Decimal,
): { given: Row; faults: Fault[] } {
  const given: Row = {};
  const faults: Fault[] = [];
  for (const field of resource.fields) {
    const text = typed[field.name];
    if (text === undefined) continue;
    const reading = parseField(field, text.trim() === '' ? blankOf(field) : text, { decimal });
    if (reading.ok) given[field.name] = reading.value;
    else faults.push({ ...reading.fault, value: text });
  }
  return { given, faults };
}

/** An empty text stands for the default where there is one, so that no number that is needed goes missing. */
const blankOf = (field: Field): string => field.default ?? '';

/** The whole row: the given fields over the existing row, or over the defaults of a new one. */
export function completeRow(resource: Resource, given: Row, existing?: Row): { row: Row; faults: Fault[] } {
  if (existing) return { row: { ...existing, ...given }, faults: [] };
  const missing = resource.fields.filter((field) => !(field.name in given));
  const typed = Object.fromEntries(missing.map((field) => [field.name, '']));
  const { given: defaults, faults } = readFields(resource, typed, '.');
  return { row: { ...defaults, ...given }, faults };
}

/** Rules between the fields of one row, and for a row that exists of what may become of it; with the column heads. */
export function checkTogether(resource: Resource, row: Row, before?: Row): Fault[] {
  const faults = resource.check?.(row) ?? [];
  if (before && faults.length === 0) faults.push(...(resource.checkChange?.(before, row) ?? []));
  return faults.map((fault) => withColumn(resource, fault));
}

export function withColumn(resource: Resource, fault: Fault): Fault {
  const field = resource.fields.find((one) => one.name === fault.field);
  return field ? { ...fault, column: fieldHead(field) } : fault;
}
