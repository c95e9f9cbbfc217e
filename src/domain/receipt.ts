// The fields of a goods receipt: what holds for all its rolls, and the columns of the supplier's roll list. A cell of the
// list goes before what was said for all; a roll list may be no more than the numbers that a scanner reads.
import type { Field, Resource } from './resource.ts';
import { RESOURCES } from './resources.ts';

/** Default, verify: 2 %. Thickness and density alone are rarely known better. */
const USUAL_TOLERANCE_PCT = '2';
export const OUR_NUMBERS = 'our next numbers';

const ofRolls = (name: string, more: Partial<Field> = {}): Field => {
  const field = RESOURCES.rolls.fields.find((one) => one.name === name) as Field;
  const { default: _default, required: _required, filter: _filter, help: _help, ...bare } = field;
  return { ...bare, ...more };
};

const ITEM = ofRolls('item', { label: 'Grade', to: 'grades', kind: 'reference' });
const { toBy: _toBy, ...GRADE } = ITEM;
const LENGTH = ofRolls('lengthMm', { exclusiveMin: true });
const CORE_OUTSIDE: Field = {
  ...ofRolls('coreInsideUm'),
  name: 'coreOutsideUm',
  column: 'core_outside_um',
  label: 'Core outside',
};

/** What may be said once for all rolls, and again for one in the list. */
const SHARED: readonly Field[] = [
  GRADE,
  ofRolls('widthUm'),
  LENGTH,
  ofRolls('lot'),
  ofRolls('location'),
  ofRolls('coreInsideUm'),
  { ...CORE_OUTSIDE, help: 'Only to reckon the length from a diameter.' },
  ofRolls('useBy'),
];

const HEAD: readonly Field[] = [
  {
    name: 'purchaseOrder',
    column: 'purchase_order',
    label: 'Purchase order',
    kind: 'code',
    help: 'Left out: received without an order.',
  },
  {
    name: 'supplier',
    column: 'supplier',
    label: 'Supplier',
    kind: 'reference',
    to: 'suppliers',
    help: 'Needed without a purchase order.',
  },
  { name: 'deliveryNote', column: 'delivery_note', label: 'Delivery note', kind: 'text' },
  { name: 'receivedOn', column: 'received_on', label: 'Received on', kind: 'date', required: true },
  {
    name: 'numbers',
    column: 'numbers',
    label: 'The rolls get',
    kind: 'choice',
    options: [OUR_NUMBERS, "the supplier's numbers"],
    default: OUR_NUMBERS,
    required: true,
  },
  {
    name: 'pricePerKg',
    column: 'price_per_kg',
    label: 'Price',
    unit: 'EUR/kg',
    kind: 'money',
    min: 0,
    help: "Left out: the order's price.",
  },
];

const MEASURING: readonly Field[] = [
  {
    name: 'tolerancePct',
    column: 'tolerance_pct',
    label: 'Warn beyond',
    unit: '%',
    kind: 'percent',
    min: 0,
    exclusiveMin: true,
    max: 50,
    default: USUAL_TOLERANCE_PCT,
    required: true,
    help: 'Length by label against mass and diameter. 2 %: default - verify.',
  },
  {
    name: 'airPct',
    column: 'air_pct',
    label: 'Air wound in',
    unit: '%',
    kind: 'percent',
    min: 0,
    max: 50,
    default: '0',
    help: 'Of the film thickness, for the diameter.',
  },
];

/** The form, without the list. */
export const RECEIPT_FIELDS = { delivery: HEAD, rolls: SHARED, measuring: MEASURING };

/** The supplier's roll list as a table; its key is the supplier's number of the roll. */
export const ROLL_LIST: Resource = {
  name: 'rolls',
  singular: 'roll',
  plural: 'rolls of the list',
  key: 'supplierRoll',
  about: "The supplier's roll list.",
  fields: [
    { name: 'supplierRoll', column: 'supplier_roll', label: 'Roll', kind: 'code', required: true },
    LENGTH,
    ofRolls('massKg', { exclusiveMin: true, label: 'Mass' }),
    { ...CORE_OUTSIDE, name: 'diameterUm', column: 'diameter_um', label: 'Diameter', max: 5000 },
    ...SHARED.filter((field) => field !== LENGTH),
    {
      name: 'line',
      column: 'line',
      label: 'Order line',
      kind: 'count',
      min: 1,
      max: 10_000,
      help: 'Of the purchase order; left out: the line of its grade and width.',
    },
    ofRolls('note'),
    ofRolls('rollMap'),
  ],
};

/** A line without column names is read in this order. */
export const PLAIN_COLUMNS = ['Roll', 'Length (m)', 'Mass (kg)', 'Diameter (mm)'];
