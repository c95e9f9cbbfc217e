// A purchase order of film and its lines: which fields they have, in the units of forms, and what is still to come.
// It is not one of the plain tables: its lines belong to it, and what is received fills them.
import type { Field } from './resource.ts';
import { reference, size } from './resourceFields.ts';
import { currencyField } from './resourceRates.ts';
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
  /** What the supplier confirmed, where that is another number. */
  confirmedRolls: number | null;
}

export interface PurchaseOrder {
  code: string;
  supplier: string;
  status: PurchaseOrderStatus;
  orderedOn: IsoDate | null;
  note: string | null;
  /** Of all its prices. */
  currency: string;
  lines: PurchaseOrderLine[];
}

/** A line with what has come in of it. */
export type LineProgress = PurchaseOrderLine & { received: number };

/** Rolls that are still expected: of what was confirmed, where it was. */
export const toCome = ({ rolls, confirmedRolls, received }: LineProgress): number =>
  Math.max(0, (confirmedRolls ?? rolls) - received);

export type OrderStep = 'send' | 'confirm' | 'close' | 'cancel';

/** From which status each step may be taken; film that was received keeps an order from being cancelled. */
const STEP_FROM: Readonly<Record<OrderStep, readonly PurchaseOrderStatus[]>> = {
  send: ['draft'],
  confirm: ['sent', 'confirmed'],
  close: ['sent', 'confirmed'],
  cancel: ['draft', 'sent', 'confirmed'],
};

export function mayStep(
  step: OrderStep,
  order: { status: PurchaseOrderStatus; lines: readonly LineProgress[] },
): boolean {
  const came = order.lines.some(({ received }) => received > 0);
  return STEP_FROM[step].includes(order.status) && !(step === 'cancel' && came);
}

/** Why a line is late on a day: it was confirmed for later than wanted, or its day has passed; undefined when it is not. */
export function lateness(line: LineProgress, today: IsoDate): 'confirmed late' | 'overdue' | undefined {
  if (toCome(line) === 0) return undefined;
  const expected = line.confirmedOn ?? line.wantedOn;
  if (expected === null) return undefined;
  if (expected < today) return 'overdue';
  return line.wantedOn !== null && expected > line.wantedOn ? 'confirmed late' : undefined;
}

export const ORDER_FIELDS: readonly Field[] = [
  {
    name: 'code',
    column: 'code',
    label: 'Purchase order',
    kind: 'code',
    help: 'Left out: the next number is taken.',
  },
  reference('supplier', 'supplier', 'Supplier', 'suppliers'),
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
  currencyField({ help: 'Of all prices of the order.' }),
  { name: 'note', column: 'note', label: 'Note', kind: 'note' },
];

export const ORDER_LINE_FIELDS: readonly Field[] = [
  reference('grade', 'grade', 'Grade', 'grades'),
  { name: 'offer', column: 'offer', label: 'Offer', kind: 'reference', to: 'offers' },
  size('widthUm', 'width_um', 'Width', 'mm', 10_000),
  size('lengthMm', 'length_mm', 'Roll length', 'm', 1_000_000),
  {
    name: 'rolls',
    column: 'rolls',
    label: 'Rolls',
    kind: 'count',
    required: true,
    min: 1,
    max: 10_000,
  },
  { name: 'pricePerKg', column: 'price_per_kg', label: 'Price', unit: 'per kg', kind: 'money', min: 0 },
  { name: 'wantedOn', column: 'wanted_on', label: 'Wanted on', kind: 'date' },
  { name: 'confirmedOn', column: 'confirmed_on', label: 'Confirmed for', kind: 'date' },
];

/** What a supplier confirms of a line. */
export const CONFIRM_FIELDS: readonly Field[] = [
  { name: 'confirmedOn', column: 'confirmed_on', label: 'Confirmed for', kind: 'date' },
  {
    name: 'confirmedRolls',
    column: 'confirmed_rolls',
    label: 'Confirmed rolls',
    kind: 'count',
    min: 0,
    max: 10_000,
  },
];
