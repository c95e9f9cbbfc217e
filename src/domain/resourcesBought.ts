// What is bought and from whom: suppliers, base-film grades, offers. Densities and gauges as suppliers' sheets give them.
import type { Fault, Resource, Row } from './resource.ts';
import { reference, size } from './resourceFields.ts';
import { currencyFaults, currencyField } from './resourceRates.ts';

export const suppliers: Resource = {
  name: 'suppliers',
  singular: 'supplier',
  plural: 'suppliers',
  key: 'code',
  about: 'Who sells base film to the plant, and what holds for an order of several lines.',
  check: checkSupplier,
  fields: [
    { name: 'code', column: 'code', label: 'Supplier', kind: 'code', required: true, inList: true },
    { name: 'name', column: 'name', label: 'Name', kind: 'text', required: true, inList: true, filter: true },
    currencyField({ help: 'Of the two amounts below, and of new purchase orders.' }),
    {
      name: 'minOrderValue',
      column: 'min_order_value',
      label: 'Least order',
      unit: 'in its currency',
      kind: 'money',
      min: 0,
      exclusiveMin: true,
      max: 1e8,
      help: 'What all lines of one order must come to at least; empty: nothing.',
    },
    {
      name: 'containerKg',
      column: 'container_kg',
      label: 'Mass a container holds',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      exclusiveMin: true,
      max: 1e6,
      help: 'Film of one order travels together; of kg and rolls, what is full first counts.',
    },
    {
      name: 'containerRolls',
      column: 'container_rolls',
      label: 'Rolls a container holds',
      unit: 'rolls',
      kind: 'count',
      min: 1,
      max: 10_000,
    },
    {
      name: 'containerCost',
      column: 'container_cost',
      label: 'A container costs',
      unit: 'in its currency',
      kind: 'money',
      min: 0,
      max: 1e7,
      help: 'Freight of each container, full or not.',
    },
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
    {
      name: 'safetyStockKg',
      column: 'safety_stock_kg',
      label: 'Safety stock',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      max: 1e7,
      help: 'Film that shall always lie in stock; empty: none. The page of needs works one out from use and lead time.',
    },
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
    reference('supplier', 'supplier', 'Supplier', 'suppliers'),
    reference('grade', 'grade', 'Grade', 'grades'),
    width('widthUm', 'width_um', 'Width', { help: widthHelp, inList: true }),
    width('widthMinUm', 'width_min_um', 'Smallest width', { help: widthHelp, inList: true }),
    width('widthMaxUm', 'width_max_um', 'Largest width', { help: widthHelp, inList: true }),
    width('widthStepUm', 'width_step_um', 'Width step', { help: widthHelp }),
    { ...size('rollLengthMm', 'roll_length_mm', 'Roll length', 'm', 1_000_000), filter: false },
    width('coreInsideUm', 'core_inside_um', 'Core inside', { max: 1000 }),
    {
      name: 'pricePerKg',
      column: 'price_per_kg',
      label: 'Price',
      unit: 'per kg',
      kind: 'money',
      required: true,
      min: 0,
      inList: true,
    },
    currencyField({ inList: true, filter: true }),
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
    {
      name: 'leadSpreadDays',
      column: 'lead_spread_days',
      label: 'Lead time spread',
      unit: 'days',
      kind: 'count',
      min: 0,
      max: 365,
      help: 'How many days later it may well come; orders are placed so much earlier.',
    },
    {
      name: 'breakFromKg',
      column: 'break_from_kg',
      label: 'Lower price from',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      exclusiveMin: true,
      max: 1e7,
      help: 'From so many kg in one order the second price holds for all of it.',
    },
    {
      name: 'breakPricePerKg',
      column: 'break_price_per_kg',
      label: 'Lower price',
      unit: 'per kg',
      kind: 'money',
      min: 0,
    },
    {
      name: 'multipleKg',
      column: 'multiple_kg',
      label: 'Sold in multiples of',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      exclusiveMin: true,
      max: 1e6,
      help: 'A pallet or a container: whole rolls are ordered up to a full one. Either kg or rolls.',
    },
    {
      name: 'multipleRolls',
      column: 'multiple_rolls',
      label: 'Sold in groups of',
      unit: 'rolls',
      kind: 'count',
      min: 1,
      max: 10_000,
    },
    {
      name: 'validUntil',
      column: 'valid_until',
      label: 'Valid until',
      kind: 'date',
      inList: true,
      filter: true,
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

function checkSupplier(row: Row): Fault[] {
  const faults = currencyFaults(row);
  if (
    faults.length > 0 ||
    !given(row, 'containerCost') ||
    given(row, 'containerKg') ||
    given(row, 'containerRolls')
  )
    return faults;
  const wrong = 'a container has a cost and nothing says what it holds';
  return [{ field: 'containerCost', value: String(row.containerCost), wrong, right: 'kg, rolls or both' }];
}

function checkOffer(row: Row): Fault[] {
  const currency = currencyFaults(row);
  if (currency.length > 0) return currency;
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
  return checkTerms(row);
}

const given = (row: Row, name: string): boolean => row[name] !== null && row[name] !== undefined;

function checkTerms(row: Row): Fault[] {
  const fault = (field: string, wrong: string, right: string): Fault[] => [
    { field, value: String(row[field] ?? ''), wrong, right },
  ];
  if (given(row, 'breakFromKg') !== given(row, 'breakPricePerKg'))
    return fault(
      'breakFromKg',
      'a lower price needs both its price and from how many kg it holds',
      'both, or neither',
    );
  if (given(row, 'breakPricePerKg') && Number(row.breakPricePerKg) >= Number(row.pricePerKg))
    return fault('breakPricePerKg', 'the lower price is not lower', `less than ${row.pricePerKg}`);
  if (given(row, 'multipleKg') && given(row, 'multipleRolls'))
    return fault('multipleKg', 'the multiple is given in kg and in rolls', 'one of the two');
  return [];
}
