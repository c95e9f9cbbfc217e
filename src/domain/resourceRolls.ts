// What lies in stock: every roll with its map. Its status, its use-by day and its length are changed by decisions and by
// the ledger; the plain form leaves the first alone, and moves the second to an earlier day only.

import type { Fault, Field, Resource, Row } from './resource.ts';
import { choice, size } from './resourceFields.ts';
import { type BadPlace, printRollMap } from './rollMap.ts';

const note: Field = { name: 'note', column: 'note', label: 'Note', kind: 'note' };

const ROLL_KINDS = ['coated', 'base', 'stub', 'finished'] as const;
const ROLL_STATUSES = ['in quarantine', 'released', 'on hold', 'used up', 'dispatched'] as const;

export const rolls: Resource = {
  name: 'rolls',
  singular: 'roll',
  plural: 'rolls',
  key: 'code',
  about:
    'Every roll in the house: base film, coated rolls, stubs and finished rolls, with the map of their bad places.',
  check: checkRoll,
  settle: settleStatus,
  checkChange: checkLaterUse,
  fields: [
    { name: 'code', column: 'code', label: 'Roll', kind: 'code', required: true, inList: true },
    choice('kind', 'kind', 'Kind', ROLL_KINDS),
    {
      name: 'item',
      column: 'item',
      label: 'Item',
      kind: 'reference',
      toBy: {
        field: 'kind',
        targets: { coated: 'products', stub: 'products', finished: 'products', base: 'grades' },
      },
      required: true,
      inList: true,
      filter: true,
      help: 'A coated roll, a stub or a finished roll is of a product, base film is of a grade.',
    },
    size('widthUm', 'width_um', 'Width', 'mm', 10_000),
    { ...size('lengthMm', 'length_mm', 'Length', 'm', 1_000_000), exclusiveMin: false },
    {
      name: 'massKg',
      column: 'mass_kg',
      label: 'Mass',
      unit: 'kg',
      kind: 'decimal',
      min: 0,
      max: 100_000,
    },
    {
      name: 'coreInsideUm',
      column: 'core_inside_um',
      label: 'Core inside',
      unit: 'mm',
      kind: 'widthMm',
      min: 0,
      exclusiveMin: true,
      max: 1000,
    },
    { name: 'lot', column: 'lot', label: 'Lot', kind: 'text', filter: true },
    {
      name: 'supplier',
      column: 'supplier',
      label: 'Supplier',
      kind: 'reference',
      to: 'suppliers',
      filter: true,
      help: 'Who sent it, for base film.',
    },
    { name: 'location', column: 'location', label: 'Location', kind: 'text', inList: true, filter: true },
    {
      name: 'receivedOn',
      column: 'received_on',
      label: 'Received',
      kind: 'date',
      inList: true,
      filter: true,
    },
    { name: 'useBy', column: 'use_by', label: 'Use by', kind: 'date', inList: true, filter: true },
    {
      ...choice('status', 'status', 'Status', ROLL_STATUSES),
      default: 'in quarantine',
      onlyNew: 'Released, held and taken back on its page, with a name and a reason.',
    },
    {
      name: 'costPerRoll',
      column: 'cost_per_roll',
      label: 'Cost',
      unit: 'EUR/roll',
      kind: 'money',
      min: 0,
      max: 1e9,
      help: 'What the roll stands in the books for. Demo rolls: default - verify, film at its price and coating.',
    },
    { ...note, inList: true },
    {
      name: 'rollMap',
      column: 'roll_map',
      label: 'Roll map',
      kind: 'rollMap',
      help: 'One bad place a line: metres from the outer end, millimetres from the left datum edge, as the roll stands in stock, and what it is. "0-2600 m, 300-306 mm, streak" or "1210 m, full width, flag" or "full length, 182-196 mm, gauge band".',
    },
  ],
};

function checkRoll(row: Row): Fault[] {
  const places = (row.rollMap ?? []) as BadPlace[];
  const lengthMm = row.lengthMm as number;
  const widthUm = row.widthUm as number;
  const outside = places.find(
    (p) => p.fromMm >= lengthMm || (p.toMm ?? 0) > lengthMm || p.fromUm >= widthUm || (p.toUm ?? 0) > widthUm,
  );
  const size = `0 to ${lengthMm / 1000} m along and 0 to ${widthUm / 1000} mm across`;
  const faults: Fault[] = [];
  if (lengthMm === 0 && row.status !== 'used up' && row.status !== 'dispatched')
    faults.push({
      field: 'lengthMm',
      value: '0',
      wrong: `a roll without length is not ${String(row.status)}`,
      right: 'more than 0 m, or the status "used up"',
    });
  if (outside)
    faults.push({
      field: 'rollMap',
      value: printRollMap([outside]),
      wrong: 'this bad place lies outside the roll',
      right: size,
    });
  if (row.useBy && row.receivedOn && String(row.useBy) < String(row.receivedOn))
    faults.push({
      field: 'useBy',
      value: String(row.useBy),
      wrong: 'use-by lies before received',
      right: 'a later day',
    });
  return faults;
}

/** A use-by day may be corrected to an earlier one; a later one is a decision that somebody answers for. */
function checkLaterUse(before: Row, after: Row): Fault[] {
  const [was, becomes] = [before.useBy, after.useBy] as (string | null)[];
  if (!was || (becomes && becomes <= was)) return [];
  return [
    {
      field: 'useBy',
      value: becomes ?? '',
      wrong: `the roll is to be used by ${was}`,
      right: 'that day or an earlier one; a later one is given with a concession on its page',
    },
  ];
}

/** A roll of which nothing is left is used up; one that turns up again waits for a decision. */
function settleStatus(before: Row, after: Row): Row {
  const inHouse = before.status !== 'used up' && before.status !== 'dispatched';
  if (inHouse && after.lengthMm === 0) return { ...after, status: 'used up' };
  if (before.status === 'used up' && before.lengthMm === 0 && Number(after.lengthMm) > 0)
    return { ...after, status: 'on hold' };
  return after;
}
