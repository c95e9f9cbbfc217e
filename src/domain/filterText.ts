// What is typed into a list's filter: one value, or for numbers and dates a range such as "80..120", "80..", "..120".
// The same words hold in an address and for an export, so a filtered list can be linked. Edge units, as in forms.
import { type FieldResult, parseField } from './fieldText.ts';
import type { Field, FieldKind } from './resource.ts';

/** Both ends are included; null is open. Inner units. */
export class Between {
  readonly from: unknown;
  readonly to: unknown;
  constructor(from: unknown, to: unknown) {
    this.from = from;
    this.to = to;
  }
}

const RANGED: ReadonlySet<FieldKind> = new Set<FieldKind>([
  'widthMm',
  'lengthM',
  'thicknessUm',
  'count',
  'decimal',
  'money',
  'percent',
  'date',
]);

/** True for a field whose filter takes a range. */
export const isRanged = (field: Field): boolean => RANGED.has(field.kind);

/** Reads a filter that is not empty: a value in inner units, or a Between. */
export function parseFilter(field: Field, text: string): FieldResult {
  const ends = isRanged(field) ? text.split(/\.\./) : [text];
  if (ends.length !== 2) return parseField(field, text, { decimal: 'auto' });
  const [from, to] = ends.map((end) => readEnd(field, end));
  if (!from.ok) return from;
  if (!to.ok) return to;
  if (from.value !== null && to.value !== null && from.value! > to.value!) {
    const wrong = `nothing lies between ${ends[0].trim()} and ${ends[1].trim()}`;
    return { ok: false, fault: { field: field.name, value: text, wrong, right: 'the smaller one first' } };
  }
  return { ok: true, value: new Between(from.value, to.value) };
}

const readEnd = (field: Field, end: string): FieldResult =>
  end.trim() === '' ? { ok: true, value: null } : parseField(field, end, { decimal: 'auto' });
