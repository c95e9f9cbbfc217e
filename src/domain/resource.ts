// What a table of the plant is made of: one description per table drives store, forms, lists, filters and CSV files,
// so a field is described once. Values inside are whole um across and whole mm along; text at the edge is decimal
// mm and m (fieldText.ts turns one into the other). The descriptions are in resources.ts.

export type ResourceName =
  | 'rates'
  | 'suppliers'
  | 'grades'
  | 'offers'
  | 'products'
  | 'slitters'
  | 'rolls'
  | 'customers'
  | 'orders'
  | 'fillers'
  | 'forecasts';

export type FieldKind =
  /** The business key, as typed; compared without regard to case. */
  | 'code'
  | 'text'
  /** Text of several lines. */
  | 'note'
  /** Decimal mm outside, whole um inside. */
  | 'widthMm'
  /** Decimal m outside, whole mm inside. */
  | 'lengthM'
  | 'thicknessUm'
  | 'count'
  | 'decimal'
  | 'money'
  | 'percent'
  /** yyyy-mm-dd, inside and outside. */
  | 'date'
  /** Several days; an array inside, in order. */
  | 'dates'
  | 'yesNo'
  | 'choice'
  /** The code of a row of another resource. */
  | 'reference'
  /** Several codes, in order; an array inside. */
  | 'references'
  /** Bad places of a roll, one a line; an array of BadPlace inside (rollMap.ts). */
  | 'rollMap';

export interface Field {
  /** camelCase with its inner unit, such as widthUm. */
  name: string;
  /** The column of the table; for references and rollMap only a name, their rows lie in tables of their own. */
  column: string;
  label: string;
  /** Edge unit, shown after the label. */
  unit?: string;
  kind: FieldKind;
  required?: boolean;
  options?: readonly string[];
  to?: ResourceName;
  /** For a reference whose target depends on a choice: which field decides, and the target for each of its values. */
  toBy?: { field: string; targets: Readonly<Record<string, ResourceName>> };
  /** Smallest and largest value, in edge units. */
  min?: number;
  max?: number;
  /** The smallest value itself is not allowed. */
  exclusiveMin?: boolean;
  /** Taken when a new row leaves the field out, in edge text. */
  default?: string;
  help?: string;
  /** Typed for a new row only; for one that exists, where it is changed instead. */
  onlyNew?: string;
  inList?: boolean;
  filter?: boolean;
}

/** One row in inner units, by field name; a field without value is null. */
export type Row = Record<string, unknown>;

/** What is wrong with one value and what would be right; row is the line of a file as a spreadsheet counts it. */
export interface Fault {
  row?: number;
  field?: string;
  column?: string;
  value: string;
  wrong: string;
  right: string;
}

export interface Resource {
  name: ResourceName;
  singular: string;
  plural: string;
  /** Name of the key field. */
  key: string;
  fields: readonly Field[];
  about: string;
  /** Rules between the fields of one row; called only when every field alone is right. */
  check?: (row: Row) => Fault[];
  /** What follows from a change of a row that exists; called before anything is checked. */
  settle?: (before: Row, after: Row) => Row;
  /** What may not become of a row that exists; called when `check` finds nothing. */
  checkChange?: (before: Row, after: Row) => Fault[];
}

/** Prices and costs are plain numbers in this currency. */
export const CURRENCY = 'EUR';

/** Which resource a reference of this row points to, or undefined while the deciding field is empty. */
export function referenceTarget(field: Field, row: Row): ResourceName | undefined {
  return field.toBy ? field.toBy.targets[String(row[field.toBy.field])] : field.to;
}

/** A reference whose code says little: lists show the name instead, and sort by it. */
export const shownByName = (field: Field): boolean =>
  field.kind === 'reference' && (field.to === 'customers' || field.to === 'suppliers');

/** The field as a column head: label and unit, such as "Width (mm)". */
export function fieldHead(field: Field): string {
  return field.unit ? `${field.label} (${field.unit})` : field.label;
}

/** The field of this name; a plain Error when there is none, because then the program is wrong. */
export function fieldOf(resource: Resource, name: string): Field {
  const field = resource.fields.find((f) => f.name === name);
  if (!field) throw new Error(`${resource.name} has no field ${name}`);
  return field;
}
