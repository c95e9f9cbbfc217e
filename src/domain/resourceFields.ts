// Fields that several tables have alike.
import type { Field, ResourceName } from './resource.ts';

/** One of several words, shown in the list and filtered by. */
export function choice(name: string, column: string, label: string, options: readonly string[]): Field {
  return { name, column, label, kind: 'choice', options, required: true, inList: true, filter: true };
}

/** A width in mm or a length in m, above 0. */
export function size(name: string, column: string, label: string, unit: 'mm' | 'm', max: number): Field {
  const kind = unit === 'mm' ? 'widthMm' : 'lengthM';
  const rest = { required: true, min: 0, exclusiveMin: true, max, inList: true, filter: true };
  return { name, column, label, unit, kind, ...rest };
}

/** The code of a row of another table. */
export function reference(name: string, column: string, label: string, to: ResourceName): Field {
  return { name, column, label, kind: 'reference', to, required: true, inList: true, filter: true };
}
