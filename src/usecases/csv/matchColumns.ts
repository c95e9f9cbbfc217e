// Which column of a file is which field: by label or name, without regard to case, blanks and signs, with or without
// the unit. A unit that is not the field's own is a fault: "Width (in)" must not be read as millimetres.
import { type Fault, type Field, fieldHead, type Resource } from '../../domain/resource.ts';

export interface Columns {
  /** The field of each column; undefined for a column without head. */
  fields: (Field | undefined)[];
  faults: Fault[];
}

const plain = (text: string): string =>
  text
    .toLowerCase()
    .normalize('NFKC')
    .replace(/[µμ]/g, 'u')
    .replace(/[^\p{L}\p{N}%]/gu, '');

/** Matches the heads of a file; faults name unknown, doubled and missing columns and foreign units. */
export function matchColumns(resource: Resource, heads: readonly string[]): Columns {
  const names = namesOf(resource);
  const faults: Fault[] = [];
  const fields = heads.map((head) => {
    if (head.trim() === '') return undefined;
    const found = names.get(plain(head)) ?? withoutUnit(names, head, faults);
    if (!found) faults.push(unknownColumn(resource, head));
    return found;
  });
  for (const field of new Set(fields)) {
    if (field && fields.filter((one) => one === field).length > 1)
      faults.push(columnFault(field, fieldHead(field), 'two columns are this field', 'each column once'));
  }
  const key = resource.fields.find((field) => field.name === resource.key) as Field;
  if (faults.length === 0 && !fields.includes(key))
    faults.push(
      columnFault(key, '', `the column ${fieldHead(key)} is missing`, 'a line of column names with it'),
    );
  return { fields, faults };
}

/** How many heads are known: tells the right delimiter from the wrong ones. */
export function knownHeads(resource: Resource, heads: readonly string[]): number {
  const names = namesOf(resource);
  return heads.filter((head) => names.has(plain(head)) || withoutUnit(names, head, [])).length;
}

function namesOf(resource: Resource): Map<string, Field> {
  const names = new Map<string, Field>();
  for (const field of resource.fields) {
    // The inner name ends in the inner unit (widthUm), which would promise another unit than the file's.
    const bare = field.name.replace(/(Um|Mm|M2|Kg|Pct)$/, '');
    const unit = field.unit ?? '';
    for (const name of [field.label, fieldHead(field), bare, `${bare}${unit}`, `${field.label}${unit}`]) {
      if (!names.has(plain(name))) names.set(plain(name), field);
    }
    if (field.name === resource.key) {
      for (const word of ['', ' code', ' id', ' no', ' number'])
        names.set(plain(resource.singular + word), field);
      for (const word of ['code', 'id']) names.set(word, field);
    }
  }
  return names;
}

function withoutUnit(names: Map<string, Field>, head: string, faults: Fault[]): Field | undefined {
  const match = /^(.*?)\s*[([]\s*([^()[\]]*)\s*[)\]]\s*$/.exec(head);
  const field = match && names.get(plain(match[1] as string));
  if (!field) return undefined;
  if (plain(match[2] as string) === plain(field.unit ?? '')) return field;
  const right = field.unit ? `values in ${field.unit}, head "${fieldHead(field)}"` : `head "${field.label}"`;
  faults.push(columnFault(field, head, `this column is in ${match[2]}`, right));
  return field;
}

function columnFault(field: Field, value: string, wrong: string, right: string): Fault {
  return { field: field.name, column: fieldHead(field), value, wrong, right };
}

function unknownColumn(resource: Resource, head: string): Fault {
  const right = `one of: ${resource.fields.map(fieldHead).join(', ')}`;
  return { column: head, value: head, wrong: `${resource.plural} have no column "${head}"`, right };
}
