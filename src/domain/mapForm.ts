// One bad place as a form has it: metres from the outer end, millimetres from the left datum edge; an end that is left
// open goes to the end of the roll or to its right edge.
import type { Fault, Field } from './resource.ts';
import { type BadPlace, POINT_MM } from './rollMap.ts';
import { mmToM, umToMm } from './units.ts';

/** Offered to choose from; any other word will do. */
export const USUAL_KINDS = [
  'flag',
  'streak',
  'gel',
  'pinhole',
  'skip',
  'light coat',
  'gauge band',
  'baggy lane',
  'edge bead',
  'wrinkle',
  'join',
];

const along = { unit: 'm', kind: 'lengthM', min: 0 } as const;
const across = { unit: 'mm', kind: 'widthMm', min: 0 } as const;
export const PLACE_FIELDS: readonly Field[] = [
  { ...along, name: 'fromMm', column: 'from_mm', label: 'Along, from', help: 'Metres from the outer end.' },
  { ...along, name: 'toMm', column: 'to_mm', label: 'Along, to', help: 'Left out: to the inner end.' },
  {
    ...across,
    name: 'fromUm',
    column: 'from_um',
    label: 'Across, from',
    help: 'Millimetres from the left datum edge.',
  },
  { ...across, name: 'toUm', column: 'to_um', label: 'Across, to', help: 'Left out: to the right edge.' },
  { name: 'kind', column: 'kind', label: 'Kind', kind: 'text', required: true },
];

/** The place that was typed, or what is wrong with it on a roll of this size; a place with one position is a flag of 1 m. */
export function placeOf(
  typed: {
    fromMm: number | null;
    toMm: number | null;
    fromUm: number | null;
    toUm: number | null;
    kind: string;
  },
  roll: { lengthMm: number; widthUm: number },
): { place: BadPlace; faults: Fault[] } {
  const fromMm = typed.fromMm ?? 0;
  const fromUm = typed.fromUm ?? 0;
  const toMm = typed.toMm !== null && typed.toMm === fromMm ? fromMm + POINT_MM : typed.toMm;
  const faults: Fault[] = [];
  const outside = (field: string, wrong: string, right: string) =>
    faults.push({ field, value: '', wrong, right });
  const metres = `${mmToM(roll.lengthMm)} m`;
  const width = `${umToMm(roll.widthUm)} mm`;
  if (fromMm >= roll.lengthMm) outside('fromMm', `the roll is ${metres} long`, `less than ${metres}`);
  if (typed.toMm !== null && typed.toMm > roll.lengthMm)
    outside('toMm', `the roll is ${metres} long`, `up to ${metres}, or nothing`);
  if (typed.toMm !== null && typed.toMm < fromMm)
    outside('toMm', 'it ends before it begins', `${mmToM(fromMm)} m or more`);
  if (fromUm >= roll.widthUm) outside('fromUm', `the roll is ${width} wide`, `less than ${width}`);
  if (typed.toUm !== null && typed.toUm > roll.widthUm)
    outside('toUm', `the roll is ${width} wide`, `up to ${width}, or nothing`);
  if (typed.toUm !== null && typed.toUm <= fromUm)
    outside('toUm', 'it has no width', `more than ${umToMm(fromUm)} mm`);
  const end = toMm !== null && toMm >= roll.lengthMm ? null : toMm;
  return { place: { fromMm, toMm: end, fromUm, toUm: typed.toUm, kind: typed.kind }, faults };
}
