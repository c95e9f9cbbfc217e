// What is bought and from whom: suppliers, base-film grades, offers. Densities and gauges as suppliers' sheets give them.
import type { Fault, Resource, Row } from './resource.ts';

export const suppliers: Resource = {
  name: 'suppliers',
  singular: 'supplier',
  plural: 'suppliers',
  key: 'code',
  about: 'Who sells base film to the plant.',
  fields: [
    { name: 'code', column: 'code', label: 'Supplier', kind: 'code', required: true, inList: true },
    { name: 'name', column: 'name', label: 'Name', kind: 'text', required: true, inList: true, filter: true },
    { name: 'note', column: 'note', label: 'Note', kind: 'note', inList: true },
  ],
};

export const grades: Resource = {
  name: 'grades',
  singular: 'base-film grade',
  plural: 'base-film grades',
  key: 'code',
  about: 'Kinds of base film: polymer, thickness, density and surface.',
  fields: [
    { name: 'code', column: 'code', label: 'Grade', kind: 'code', required: true, inList: true },
    {
      name: 'polymer',
      column: 'polymer',
      label: 'Polymer',
      kind: 'text',
      required: true,
      inList: true,
      filter: true,
    },
    {
      name: 'thicknessUm',
      column: 'thickness_um',
      label: 'Thickness',
      unit: 'um',
      kind: 'thicknessUm',
      required: true,
      min: 0,
      exclusiveMin: true,
      max: 2000,
      inList: true,
      filter: true,
    },
    {
      name: 'densityGPerCm3',
      column: 'density_g_per_cm3',
      label: 'Density',
      unit: 'g/cm3',
      kind: 'decimal',
      required: true,
      min: 0.1,
      max: 10,
      inList: true,
    },
    { name: 'surface', column: 'surface', label: 'Surface', kind: 'text', inList: true, filter: true },
    { name: 'note', column: 'note', label: 'Note', kind: 'note' },
  ],
};

const widthHelp =
  'Either one width, or the smallest, the largest and the step of the widths that can be had.';

export const offers: Resource = {
  name: 'offers',
  singular: 'offer',
  plural: 'offers',
  key: 'code',
  about:
    'What a supplier sells: a grade, in which width and length, at which price, how much at least, how soon.',
  check: checkOffer,
  fields: [
    { name: 'code', column: 'code', label: 'Offer', kind: 'code', required: true, inList: true },
    {
      name: 'supplier',
      column: 'supplier',
      label: 'Supplier',
      kind: 'reference',
      to: 'suppliers',
      required: true,
      inList: true,
      filter: true,
    },
    {
      name: 'grade',
      column: 'grade',
      label: 'Grade',
      kind: 'reference',
      to: 'grades',
      required: true,
      inList: true,
      filter: true,
    },
    width('widthUm', 'width_um', 'Width', { help: widthHelp, inList: true }),
    width('widthMinUm', 'width_min_um', 'Smallest width', { help: widthHelp, inList: true }),
    width('widthMaxUm', 'width_max_um', 'Largest width', { help: widthHelp, inList: true }),
    width('widthStepUm', 'width_step_um', 'Width step', { help: widthHelp }),
    {
      name: 'rollLengthMm',
      column: 'roll_length_mm',
      label: 'Roll length',
      unit: 'm',
      kind: 'lengthM',
      required: true,
      min: 0,
      exclusiveMin: true,
      max: 1_000_000,
      inList: true,
    },
    width('coreInsideUm', 'core_inside_um', 'Core inside', { max: 1000 }),
    {
      name: 'pricePerKg',
      column: 'price_per_kg',
      label: 'Price',
      unit: 'EUR/kg',
      kind: 'money',
      required: true,
      min: 0,
      inList: true,
    },
    {
      name: 'minOrderKg',
      column: 'min_order_kg',
      label: 'Smallest order',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      default: '0',
      inList: true,
    },
    {
      name: 'leadTimeDays',
      column: 'lead_time_days',
      label: 'Lead time',
      unit: 'days',
      kind: 'count',
      required: true,
      min: 0,
      max: 1000,
      inList: true,
    },
    { name: 'note', column: 'note', label: 'Note', kind: 'note' },
  ],
};

function width(
  name: string,
  column: string,
  label: string,
  more: { help?: string; inList?: boolean; max?: number } = {},
) {
  return {
    name,
    column,
    label,
    unit: 'mm',
    kind: 'widthMm',
    min: 0,
    exclusiveMin: true,
    max: 10_000,
    ...more,
  } as const;
}

function checkOffer(row: Row): Fault[] {
  const range = [row.widthMinUm, row.widthMaxUm, row.widthStepUm].filter(
    (v) => v !== null && v !== undefined,
  );
  const fixed = row.widthUm !== null && row.widthUm !== undefined;
  const right = 'Width alone, or Smallest width, Largest width and Width step together';
  const fault = (field: string, wrong: string): Fault[] => [{ field, value: '', wrong, right }];
  if (fixed && range.length > 0) return fault('widthUm', 'the offer has one width and a range of widths');
  if (!fixed && range.length !== 3) return fault('widthUm', 'the offer does not say which widths can be had');
  if (!fixed && (row.widthMinUm as number) > (row.widthMaxUm as number))
    return fault('widthMinUm', 'the smallest width is above the largest');
  return [];
}
