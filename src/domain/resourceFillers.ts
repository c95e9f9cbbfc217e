// Catalogue widths: what may be slit to fill up a pattern although nobody has ordered it, and what it is then worth.
import type { Resource } from './resource.ts';
import { reference, size } from './resourceFields.ts';

export const fillers: Resource = {
  name: 'fillers',
  singular: 'catalogue width',
  plural: 'catalogue widths',
  key: 'code',
  about:
    'Finished rolls that sell from the shelf. A plan that is asked to may fill up its patterns with them where their value is worth the film.',
  fields: [
    { name: 'code', column: 'code', label: 'Catalogue width', kind: 'code', required: true, inList: true },
    reference('product', 'product', 'Product', 'products'),
    size('widthUm', 'width_um', 'Width', 'mm', 10_000),
    size('lengthMm', 'length_mm', 'Finished length', 'm', 100_000),
    {
      name: 'valuePerRoll',
      column: 'value_per_roll',
      label: 'Value',
      unit: 'EUR/roll',
      kind: 'money',
      required: true,
      min: 0,
      max: 1e9,
      inList: true,
      help: 'What a roll on the shelf is worth to you. Above the cost of its film, plans slit film for the shelf alone; below, they only use what would be waste.',
    },
    {
      name: 'maxRolls',
      column: 'max_rolls',
      label: 'Most rolls',
      unit: 'per plan',
      kind: 'count',
      required: true,
      min: 0,
      max: 1_000_000,
      inList: true,
    },
    {
      name: 'active',
      column: 'active',
      label: 'In use',
      kind: 'yesNo',
      required: true,
      default: 'yes',
      inList: true,
      filter: true,
    },
    { name: 'note', column: 'note', label: 'Note', kind: 'note', inList: true },
  ],
};
