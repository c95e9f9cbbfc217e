// A purchase order of film and its lines: which fields they have, in the units of forms, and what is still to come.
// It is not one of the plain tables: its lines belong to it, and what is received fills them.
import type { Field } from './resource.ts';
import type { IsoDate } from './units.ts';

const ORDER_STATUSES = ['draft', 'sent', 'confirmed', 'closed', 'cancelled'] as const;
export type PurchaseOrderStatus = (typeof ORDER_STATUSES)[number];

/** Only film that somebody has ordered can arrive on an order. */
export const MAY_ARRIVE: readonly PurchaseOrderStatus[] = ['sent', 'confirmed'];

export interface PurchaseOrderLine {
  line: number;
  grade: string;
  offer: string | null;
  widthUm: number;
  lengthMm: number;
  rolls: number;
  pricePerKg: number | null;
  wantedOn: IsoDate | null;
  confirmedOn: IsoDate | null;
}

export interface PurchaseOrder {
  code: string;
  supplier: string;
  status: PurchaseOrderStatus;
  orderedOn: IsoDate | null;
  note: string | null;
  lines: PurchaseOrderLine[];
}

/** A line with what has come in of it. */
export type LineProgress = PurchaseOrderLine & { received: number };

export const toCome = ({ rolls, received }: LineProgress): number => Math.max(0, rolls - received);

export const ORDER_FIELDS: readonly Field[] = [
  {
    name: 'code',
    column: 'code',
    label: 'Purchase order',
    kind: 'code',
    help: 'Left out: the next number is taken.',
  },
  {
    name: 'supplier',
    column: 'supplier',
    label: 'Supplier',
    kind: 'reference',
    to: 'suppliers',
    required: true,
  },
  {
    name: 'status',
    column: 'status',
    label: 'Status',
    kind: 'choice',
    options: ['draft', 'sent', 'confirmed'],
    default: 'draft',
    required: true,
    help: 'Film can be received once the order is sent.',
  },
  { name: 'orderedOn', column: 'ordered_on', label: 'Ordered on', kind: 'date' },
  { name: 'note', column: 'note', label: 'Note', kind: 'note' },
];

export const ORDER_LINE_FIELDS: readonly Field[] = [
  { name: 'grade', column: 'grade', label: 'Grade', kind: 'reference', to: 'grades', required: true },
  { name: 'offer', column: 'offer', label: 'Offer', kind: 'reference', to: 'offers' },
  {
    name: 'widthUm',
    column: 'width_um',
    label: 'Width',
    unit: 'mm',
    kind: 'widthMm',
    required: true,
    min: 0,
    exclusiveMin: true,
    max: 10_000,
  },
  {
    name: 'lengthMm',
    column: 'length_mm',
    label: 'Roll length',
    unit: 'm',
    kind: 'lengthM',
    required: true,
    min: 0,
    exclusiveMin: true,
    max: 1_000_000,
  },
  {
    name: 'rolls',
    column: 'rolls',
    label: 'Rolls',
    kind: 'count',
    required: true,
    min: 1,
    max: 10_000,
  },
  { name: 'pricePerKg', column: 'price_per_kg', label: 'Price', unit: 'EUR/kg', kind: 'money', min: 0 },
  { name: 'wantedOn', column: 'wanted_on', label: 'Wanted on', kind: 'date' },
  { name: 'confirmedOn', column: 'confirmed_on', label: 'Confirmed for', kind: 'date' },
];
