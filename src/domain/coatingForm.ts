// The fields of a coating record: the run with its lot of coating and its checks, the base rolls, what was lost, and the
// coated jumbos. Limits are those that are entered; a value outside them holds what was coated.
import type { Field } from './resource.ts';

const number = (name: string, label: string, unit: string, more: Partial<Field> = {}): Field => ({
  name,
  column: name,
  label,
  unit,
  kind: 'decimal',
  min: 0,
  max: 1_000_000,
  ...more,
});
const metres = (name: string, label: string, more: Partial<Field> = {}): Field => ({
  name,
  column: name,
  label,
  unit: 'm',
  kind: 'lengthM',
  min: 0,
  max: 1_000_000,
  ...more,
});
const edge = (name: string, label: string): Field => ({
  name,
  column: name,
  label,
  unit: 'mm',
  kind: 'widthMm',
  min: 0,
  max: 1000,
  help: "Left out: the product's.",
});

export const RUN_FIELDS: readonly Field[] = [
  { name: 'product', column: 'product', label: 'Product', kind: 'reference', to: 'products', required: true },
  { name: 'coatedOn', column: 'coated_on', label: 'Coated on', kind: 'date', required: true },
  metres('startUpMm', 'Start-up loss', { help: "Left out: the product's." }),
  number('dryGPerM2', 'Dry coat weight', 'g/m2', { max: 1000, help: "Left out: the product's." }),
  edge('coatFreeLeftUm', 'Coat-free edge left'),
  edge('coatFreeRightUm', 'Coat-free edge right'),
  { name: 'location', column: 'location', label: 'Location', kind: 'text' },
  {
    name: 'status',
    column: 'status',
    label: 'When the checks are within limits',
    kind: 'choice',
    options: ['in quarantine', 'released'],
    default: 'in quarantine',
    required: true,
    help: 'Outside a limit it goes on hold.',
  },
];

export const LOT_FIELDS: readonly Field[] = [
  { name: 'lot', column: 'lot', label: 'Lot of coating', kind: 'text', required: true },
  number('viscosity', 'Viscosity', ''),
  number('viscosityMin', 'Viscosity, at least', ''),
  number('viscosityMax', 'Viscosity, at most', ''),
  { name: 'viscosityUnit', column: 'viscosity_unit', label: 'Viscosity in', kind: 'text', default: 'mPa s' },
  number('solidsPct', 'Solids', '%', { kind: 'percent', max: 100 }),
  number('solidsMinPct', 'Solids, at least', '%', { kind: 'percent', max: 100 }),
  number('solidsMaxPct', 'Solids, at most', '%', { kind: 'percent', max: 100 }),
];

export const BASE_FIELDS: readonly Field[] = [
  { name: 'roll', column: 'roll', label: 'Base roll', kind: 'code', required: true },
  metres('takenMm', 'Taken', { exclusiveMin: true }),
];

export const LOSS_FIELDS: readonly Field[] = [
  { name: 'cause', column: 'cause', label: 'Why', kind: 'text', required: true },
  metres('lengthMm', 'Lost', { required: true, exclusiveMin: true }),
  metres('atMm', 'From metre of the run'),
];

export const JUMBO_FIELDS: readonly Field[] = [
  { name: 'code', column: 'code', label: 'Coated roll', kind: 'code' },
  metres('madeMm', 'Length', { exclusiveMin: true }),
  number('massKg', 'Mass, weighed', 'kg', { max: 100_000, exclusiveMin: true }),
];

/** Offered to choose from; any other word will do. */
export const USUAL_LOSSES = ['torn web', 'skip', 'streak', 'wrong coat weight', 'splice', 'tail', 'sample'];

export interface LotChecks {
  viscosity: number | null;
  viscosityMin: number | null;
  viscosityMax: number | null;
  solidsPct: number | null;
  solidsMinPct: number | null;
  solidsMaxPct: number | null;
}

/** The checks that lie outside their limits, in words; a limit at its value is kept. */
export function outsideLimits(checks: LotChecks, viscosityUnit: string): string[] {
  const { viscosity, viscosityMin, viscosityMax, solidsPct, solidsMinPct, solidsMaxPct } = checks;
  return [
    ...outside('viscosity', viscosity, viscosityMin, viscosityMax, viscosityUnit),
    ...outside('solids', solidsPct, solidsMinPct, solidsMaxPct, '%'),
  ];
}

function outside(
  what: string,
  value: number | null,
  least: number | null,
  most: number | null,
  unit: string,
) {
  if (value === null) return [];
  if (least !== null && value < least) return [`${what} ${value} ${unit} is below ${least} ${unit}`];
  if (most !== null && value > most) return [`${what} ${value} ${unit} is above ${most} ${unit}`];
  return [];
}
