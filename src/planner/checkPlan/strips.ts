// One pattern across the web: strips gapless from trim to trim, each as wide and as long as its order says.
import { woundDiameterMm } from '../../domain/filmMath.ts';
import { mmToUm, umToMm } from '../../domain/units.ts';
import type { Clause, PlanFault, RunFacts, StripFacts } from './facts.ts';
import { fault, leastTrims } from './facts.ts';

const eachRun =
  (check: (run: RunFacts) => PlanFault[]): Clause =>
  ({ runs }) =>
    runs.flatMap(check);

const widthOf = (strip: StripFacts) => strip.toUm - strip.fromUm;
const goodStrips = (run: RunFacts) => run.strips.filter((strip) => !strip.waste);

const oneOwner = eachRun(({ run, strips }) =>
  strips.flatMap((strip, index) => {
    const { order, filler, waste } = run.strips[index] ?? {};
    const given = [order, filler, waste].filter((owner) => owner !== undefined).length;
    const known = strip.order ?? strip.filler ?? (strip.waste || undefined);
    return given === 1 && known
      ? []
      : [
          fault(
            strip.where,
            'strip-owner',
            'one known order, filler or waste',
            JSON.stringify(run.strips[index]),
          ),
        ];
  }),
);

const inOrderWithoutGap = eachRun(({ where, run, strips, widthUm }) => {
  if (widthUm === undefined) return [];
  const faults: PlanFault[] = [];
  let edge: number = mmToUm(run.trimLeftMm);
  for (const strip of strips) {
    if (strip.fromUm !== edge)
      faults.push(fault(`${strip.where}.fromMm`, 'gapless', umToMm(edge), umToMm(strip.fromUm)));
    if (widthOf(strip) <= 0)
      faults.push(fault(`${strip.where}.toMm`, 'left-to-right', 'right of fromMm', umToMm(strip.toUm)));
    edge = strip.toUm;
  }
  const end = widthUm - mmToUm(run.trimRightMm);
  if (edge !== end)
    faults.push(fault(`${where}.trimRightMm`, 'gapless', umToMm(widthUm - edge), run.trimRightMm));
  return faults;
});

const awayFromEdge = eachRun(({ where, run, strips }) => {
  const least = Math.max(0, ...strips.map(({ order }) => order?.awayFromEdgeUm ?? 0));
  return (['trimLeftMm', 'trimRightMm'] as const)
    .filter((field) => mmToUm(run[field]) < least)
    .map((field) => fault(`${where}.${field}`, 'away-from-edge', `at least ${umToMm(least)} mm`, run[field]));
});

const edgeTrims = eachRun(({ where, run, slitter, product }) => {
  if (!slitter) return [];
  const least = leastTrims(slitter, product);
  return (['left', 'right'] as const).flatMap((side) => {
    const field = side === 'left' ? 'trimLeftMm' : 'trimRightMm';
    const trim = mmToUm(run[field]);
    const most = slitter.edgeTrimMaxUm[side];
    if (trim >= least[side] && trim <= most) return [];
    return [
      fault(`${where}.${field}`, 'edge-trim', `${umToMm(least[side])} to ${umToMm(most)} mm`, run[field]),
    ];
  });
});

const asOrdered = eachRun(({ run, strips, lengthMm }) =>
  strips.flatMap((strip) => {
    const item = strip.order ?? strip.filler;
    if (!item) return [];
    const faults: PlanFault[] = [];
    if (widthOf(strip) !== item.widthUm)
      faults.push(fault(strip.where, 'strip-width', umToMm(item.widthUm), umToMm(widthOf(strip))));
    if (item.product !== run.product)
      faults.push(fault(strip.where, 'strip-product', item.product, run.product));
    if (item.lengthMm !== lengthMm)
      faults.push(fault(strip.where, 'strip-length', item.lengthMm / 1000, run.lengthM));
    return faults;
  }),
);

const narrowest = eachRun((run) =>
  goodStrips(run)
    .filter((strip) => run.slitter && widthOf(strip) < run.slitter.minStripWidthUm)
    .map((strip) =>
      fault(
        strip.where,
        'min-strip-width',
        `at least ${umToMm(run.slitter?.minStripWidthUm ?? 0)} mm`,
        umToMm(widthOf(strip)),
      ),
    ),
);

/** Waste strips count: they need a knife like any other. */
const stripCount = eachRun(({ where, slitter, strips }) =>
  slitter && strips.length > slitter.maxStrips
    ? [fault(`${where}.strips`, 'max-strips', `at most ${slitter.maxStrips}`, strips.length)]
    : [],
);

const wasteCount = eachRun(({ where, slitter, strips }) => {
  const waste = strips.filter((strip) => strip.waste).length;
  return slitter && waste > slitter.maxWasteStrips
    ? [fault(`${where}.strips`, 'max-waste-strips', `at most ${slitter.maxWasteStrips}`, waste)]
    : [];
});

const distinctWidths = eachRun((run) => {
  const widths = new Set(goodStrips(run).map(widthOf));
  return run.slitter && widths.size > run.slitter.maxDistinctWidths
    ? [
        fault(
          `${run.where}.strips`,
          'max-distinct-widths',
          `at most ${run.slitter.maxDistinctWidths}`,
          widths.size,
        ),
      ]
    : [];
});

const rollDiameter = eachRun(({ where, run, slitter, product }) => {
  if (!slitter || product?.layerThicknessUm === undefined || product.coreOutsideDiameterUm === undefined)
    return [];
  const diameter = woundDiameterMm({
    lengthM: run.lengthM,
    layerThicknessUm: product.layerThicknessUm,
    coreOutsideDiameterMm: umToMm(product.coreOutsideDiameterUm),
  });
  const most = umToMm(slitter.maxRollDiameterUm);
  return diameter > most + 1e-9
    ? [fault(`${where}.lengthM`, 'roll-diameter', `at most ${most} mm`, `${diameter.toFixed(3)} mm`)]
    : [];
});

export const stripClauses: Clause[] = [
  oneOwner,
  inOrderWithoutGap,
  edgeTrims,
  awayFromEdge,
  asOrdered,
  narrowest,
  stripCount,
  wasteCount,
  distinctWidths,
  rollDiameter,
];
