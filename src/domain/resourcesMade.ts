// What is made and on what: coated products and slitters, with every limit that the planning problem knows.
import type { Fault, Field, Resource, Row } from './resource.ts';

const note: Field = { name: 'note', column: 'note', label: 'Note', kind: 'note' };

export const products: Resource = {
  name: 'products',
  singular: 'coated product',
  plural: 'coated products',
  key: 'code',
  about:
    'What the plant coats: on which grades, on which slitters it may be slit, and what the finished roll must be.',
  fields: [
    { name: 'code', column: 'code', label: 'Product', kind: 'code', required: true, inList: true },
    { name: 'name', column: 'name', label: 'Name', kind: 'text', required: true, inList: true, filter: true },
    {
      name: 'layerThicknessUm',
      column: 'layer_thickness_um',
      label: 'Layer thickness',
      unit: 'um',
      kind: 'thicknessUm',
      min: 0,
      exclusiveMin: true,
      max: 2000,
      inList: true,
      help: 'Film and dry coating as wound; with the core it gives the diameter of the finished roll.',
    },
    size('coreInsideUm', 'core_inside_um', 'Core inside', 'mm', { inList: true, max: 1000 }),
    size('coreOutsideUm', 'core_outside_um', 'Core outside', 'mm', { max: 1000 }),
    {
      name: 'maxSplices',
      column: 'max_splices',
      label: 'Splices allowed',
      unit: 'per roll',
      kind: 'count',
      min: 0,
      max: 20,
      default: '0',
      inList: true,
    },
    {
      name: 'slitters',
      column: 'slitters',
      label: 'Slitters',
      kind: 'references',
      to: 'slitters',
      inList: true,
      help: 'Slitters that may run it; empty: all.',
    },
    {
      name: 'grades',
      column: 'grades',
      label: 'Base grades',
      kind: 'references',
      to: 'grades',
      inList: true,
      help: 'Grades it may be coated on, the preferred one first.',
    },
    size('coatFreeLeftUm', 'coat_free_left_um', 'Coat-free edge left', 'mm', { zero: true, default: '0' }),
    size('coatFreeRightUm', 'coat_free_right_um', 'Coat-free edge right', 'mm', { zero: true, default: '0' }),
    {
      name: 'coatingLossMm',
      column: 'coating_loss_mm',
      label: 'Coating start-up loss',
      unit: 'm',
      kind: 'lengthM',
      min: 0,
      max: 100_000,
      default: '0',
    },
    number('coatingCostPerM2', 'coating_cost_per_m2', 'Coating cost', 'EUR/m2', 'money', '0'),
    number('coatingLeadDays', 'coating_lead_days', 'Coating lead time', 'days', 'count', '0', 1000),
    number('dryGPerM2', 'dry_g_per_m2', 'Dry coat weight', 'g/m2', 'decimal'),
    number('solidsPct', 'solids_pct', 'Solids', '%', 'percent', undefined, 100),
    number('shelfLifeMonths', 'shelf_life_months', 'Shelf life', 'months', 'count', undefined, 600),
    note,
  ],
};

export const slitters: Resource = {
  name: 'slitters',
  singular: 'slitter',
  plural: 'slitters',
  key: 'code',
  about: 'Slitting machines and their limits. An empty limit does not bind.',
  check: checkSlitter,
  fields: [
    { name: 'code', column: 'code', label: 'Slitter', kind: 'code', required: true, inList: true },
    { name: 'name', column: 'name', label: 'What it is', kind: 'text', inList: true },
    size('maxWebWidthUm', 'max_web_width_um', 'Widest web', 'mm', { inList: true }),
    size('minStripWidthUm', 'min_strip_width_um', 'Narrowest strip', 'mm', { inList: true, zero: true }),
    count('maxStrips', 'max_strips', 'Most strips', 'Waste strips count too: each needs its knife.', true),
    count('maxDistinctWidths', 'max_distinct_widths', 'Most distinct widths', 'In one pattern.'),
    {
      ...count(
        'maxWasteStrips',
        'max_waste_strips',
        'Most waste strips',
        'In one pattern, beside the good ones.',
      ),
      min: 0,
    },
    size('edgeTrimMinLeftUm', 'edge_trim_min_left_um', 'Least edge trim left', 'mm', {
      zero: true,
      default: '0',
    }),
    size('edgeTrimMinRightUm', 'edge_trim_min_right_um', 'Least edge trim right', 'mm', {
      zero: true,
      default: '0',
    }),
    size('edgeTrimMaxLeftUm', 'edge_trim_max_left_um', 'Most edge trim left', 'mm', { zero: true }),
    size('edgeTrimMaxRightUm', 'edge_trim_max_right_um', 'Most edge trim right', 'mm', { zero: true }),
    { ...number('minutesPerSetup', 'minutes_per_setup', 'Set-up', 'min', 'decimal', '0'), inList: true },
    number('minutesPerKnifeMove', 'minutes_per_knife_move', 'Knife move', 'min', 'decimal', '0'),
    number('minutesPerSetChange', 'minutes_per_set_change', 'Set change', 'min', 'decimal', '0'),
    {
      name: 'metresPerMinute',
      column: 'metres_per_minute',
      label: 'Line speed',
      unit: 'm/min',
      kind: 'decimal',
      min: 0,
      exclusiveMin: true,
      max: 5000,
      inList: true,
    },
    number('rampUpSeconds', 'ramp_up_seconds', 'Ramp up', 's', 'decimal', '0'),
    number('rampDownSeconds', 'ramp_down_seconds', 'Ramp down', 's', 'decimal', '0'),
    size('leadInMm', 'lead_in_mm', 'Lead-in', 'm', {
      zero: true,
      default: '0',
      help: 'Lost at each thread-up.',
    }),
    size('tailMm', 'tail_mm', 'Tail', 'm', { zero: true, default: '0', help: 'Lost with every set.' }),
    size('maxRollDiameterUm', 'max_roll_diameter_um', 'Largest roll diameter', 'mm', { inList: true }),
    { ...number('costPerHour', 'cost_per_hour', 'Cost', 'EUR/h', 'money', '0'), inList: true },
    {
      ...number('minutesPerDay', 'minutes_per_day', 'Works each day', 'min', 'decimal', undefined, 1440),
      exclusiveMin: true,
      help: 'Two shifts of 8 h are 960; empty: round the clock.',
    },
    {
      name: 'closedOn',
      column: 'closed_on',
      label: 'Closed on',
      kind: 'dates',
      help: 'Days without work, yyyy-mm-dd, with a space between them: weekends, holidays, maintenance.',
    },
    note,
  ],
};

interface SizeMore {
  zero?: boolean;
  default?: string;
  inList?: boolean;
  max?: number;
  help?: string;
}

function size(name: string, column: string, label: string, unit: 'mm' | 'm', more: SizeMore = {}): Field {
  const { zero, ...rest } = more;
  const kind = unit === 'mm' ? 'widthMm' : 'lengthM';
  return {
    name,
    column,
    label,
    unit,
    kind,
    min: 0,
    ...(zero ? {} : { exclusiveMin: true }),
    max: 10_000,
    ...rest,
  };
}

function number(
  name: string,
  column: string,
  label: string,
  unit: string,
  kind: 'decimal' | 'money' | 'percent' | 'count',
  fallback?: string,
  max = 1_000_000,
): Field {
  return {
    name,
    column,
    label,
    unit,
    kind,
    min: 0,
    max,
    ...(fallback === undefined ? {} : { default: fallback }),
  };
}

function count(name: string, column: string, label: string, help: string, inList = false): Field {
  return { name, column, label, kind: 'count', min: 1, max: 1000, help, inList };
}

function checkSlitter(row: Row): Fault[] {
  return (['Left', 'Right'] as const).flatMap((side) => {
    const most = row[`edgeTrimMax${side}Um`] as number | null;
    const least = row[`edgeTrimMin${side}Um`] as number | null;
    if (most === null || least === null || most >= least) return [];
    const field = `edgeTrimMax${side}Um`;
    return [
      {
        field,
        value: '',
        wrong: 'the most edge trim is below the least',
        right: `${least / 1000} mm or more`,
      },
    ];
  });
}
