// What is asked for: customers, order lines.
import type { Field, Resource } from './resource.ts';
import { choice, reference, size } from './resourceFields.ts';

const note: Field = { name: 'note', column: 'note', label: 'Note', kind: 'note' };

const ORDER_PRIORITIES = ['low', 'normal', 'rush'] as const;
const ORDER_STATUSES = ['quoted', 'open', 'planned', 'made', 'done', 'cancelled'] as const;

export const customers: Resource = {
  name: 'customers',
  singular: 'customer',
  plural: 'customers',
  key: 'code',
  about: 'Who orders finished rolls.',
  fields: [
    { name: 'code', column: 'code', label: 'Customer', kind: 'code', required: true, inList: true },
    { name: 'name', column: 'name', label: 'Name', kind: 'text', required: true, inList: true, filter: true },
    { ...note, inList: true },
  ],
};

export const orders: Resource = {
  name: 'orders',
  singular: 'order line',
  plural: 'order lines',
  key: 'code',
  about: 'What customers ask for: finished rolls of a product, width and length, how many, by when.',
  fields: [
    { name: 'code', column: 'code', label: 'Order', kind: 'code', required: true, inList: true },
    reference('customer', 'customer', 'Customer', 'customers'),
    reference('product', 'product', 'Product', 'products'),
    size('widthUm', 'width_um', 'Width', 'mm', 10_000),
    size('lengthMm', 'length_mm', 'Finished length', 'm', 100_000),
    {
      name: 'rolls',
      column: 'rolls',
      label: 'Rolls',
      kind: 'count',
      required: true,
      min: 1,
      max: 1_000_000,
      inList: true,
    },
    percent('overPct', 'over_pct', 'Over allowed', 1000),
    percent('underPct', 'under_pct', 'Under allowed', 100),
    {
      name: 'goodRollPct',
      column: 'good_roll_pct',
      label: 'Good rolls',
      unit: '%',
      kind: 'percent',
      min: 1,
      max: 100,
      help: 'How many of 100 rolls come out good, from experience. More rolls are then started than ordered; leave it empty where every roll counts as good.',
    },
    {
      name: 'completePct',
      column: 'complete_pct',
      label: 'Wanted chance',
      unit: '%',
      kind: 'percent',
      min: 1,
      max: 99.9999,
      help: 'How sure the order shall be complete, with a share of good rolls above; 95 when left empty.',
    },
    { name: 'dueOn', column: 'due_on', label: 'Due', kind: 'date', inList: true, filter: true },
    { ...choice('priority', 'priority', 'Priority', ORDER_PRIORITIES), default: 'normal' },
    { ...choice('status', 'status', 'Status', ORDER_STATUSES), default: 'open' },
    note,
  ],
};

function percent(name: string, column: string, label: string, max: number): Field {
  return { name, column, label, unit: '%', kind: 'percent', min: 0, max, default: '0', inList: true };
}
