// Forecasts: what of a product is expected to fall due in a week, open orders included, as an area or as finished rolls of
// one size. Weeks are named by their Monday.
import type { Fault, Resource, Row } from './resource.ts';
import { reference, size } from './resourceFields.ts';
import { addDays, type IsoDate } from './units.ts';
import { mondayOf } from './weeks.ts';

/** Of the two ways to say how much, one is left out. */
const ONE_WAY = { required: false, filter: false };

export const forecasts: Resource = {
  name: 'forecasts',
  singular: 'forecast',
  plural: 'forecasts',
  key: 'code',
  about:
    'What is expected to fall due, per product and week, open orders included: only what goes beyond the orders of the week is added to them.',
  check: checkForecast,
  fields: [
    { name: 'code', column: 'code', label: 'Forecast', kind: 'code', required: true, inList: true },
    reference('product', 'product', 'Product', 'products'),
    {
      name: 'weekOn',
      column: 'week_on',
      label: 'Week of Monday',
      kind: 'date',
      required: true,
      inList: true,
      filter: true,
    },
    {
      name: 'areaM2',
      column: 'area_m2',
      label: 'Area',
      unit: 'm2',
      kind: 'decimal',
      min: 0,
      exclusiveMin: true,
      max: 1e8,
      inList: true,
      help: 'Either the area of finished rolls, or how many rolls of which width and length.',
    },
    { name: 'rolls', column: 'rolls', label: 'Rolls', kind: 'count', min: 1, max: 1_000_000, inList: true },
    { ...size('widthUm', 'width_um', 'Width', 'mm', 10_000), ...ONE_WAY },
    { ...size('lengthMm', 'length_mm', 'Finished length', 'm', 100_000), ...ONE_WAY },
    { name: 'note', column: 'note', label: 'Note', kind: 'note', inList: true },
  ],
};

function checkForecast(row: Row): Fault[] {
  const week = row.weekOn as IsoDate;
  const monday = mondayOf(week);
  if (week !== monday)
    return [
      {
        field: 'weekOn',
        value: week,
        wrong: `${week} is not a Monday`,
        right: `${monday} or ${addDays(monday, 7)}`,
      },
    ];
  const given = (name: string): boolean => row[name] !== null && row[name] !== undefined;
  const ofRolls = ['rolls', 'widthUm', 'lengthMm'].filter(given).length;
  const right = 'Area alone, or Rolls, Width and Finished length together';
  const fault = (field: string, wrong: string): Fault[] => [{ field, value: '', wrong, right }];
  if (given('areaM2') && ofRolls > 0) return fault('areaM2', 'the forecast is given as an area and as rolls');
  if (!given('areaM2') && ofRolls !== 3) return fault('areaM2', 'the forecast does not say how much');
  return [];
}
