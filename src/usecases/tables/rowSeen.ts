// Two people may change one row at the same time: a form carries a mark of the row as it was shown, and saving compares
// it with the row as it is now. Made of the values, so that saving the same again is no conflict.
import { createHash } from 'node:crypto';
import { printField } from '../../domain/fieldText.ts';
import { type Fault, fieldHead, type Resource, type Row } from '../../domain/resource.ts';
import type { Typed } from './rowInput.ts';

/** A short mark that differs when any field of the row does. */
export function markOfRow(resource: Resource, row: Row): string {
  const texts = resource.fields.map((field) => printField(field, row[field.name]));
  return createHash('sha256').update(JSON.stringify(texts)).digest('base64url').slice(0, 22);
}

/** What somebody else's change made different from what is typed here, field by field. */
export function changedMeanwhile(resource: Resource, now: Row, typed: Typed): Fault[] {
  return resource.fields.flatMap((field) => {
    const value = typed[field.name];
    const saved = printField(field, now[field.name]);
    if (value === undefined || value.replaceAll('\r\n', '\n').trim() === saved.trim()) return [];
    const wrong = `is now ${saved === '' ? 'empty' : `"${saved}"`}, saved by somebody else after you opened this form`;
    const right = 'change it here, or save again to replace that';
    return [{ field: field.name, column: fieldHead(field), value, wrong, right }];
  });
}
