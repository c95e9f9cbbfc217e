// Sell the trim: widths times metres that are left over, in stubs in stock, in runs at the machine and in the newest plans,
// with the catalogue widths that would fill them, the most valuable first and among equals the oldest.
import type { Knex } from 'knex';
import type { Run } from '../../domain/plan.ts';
import type { Row } from '../../domain/resource.ts';
import { bestFill } from '../../domain/trimFill.ts';
import { areaM2, daysBetween, type IsoDate, mmToUm, mToMm } from '../../domain/units.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import {
  type CatalogueWidth,
  catalogueWidths,
  type LeftRoll,
  plannedRunsLeft,
  releasedRunsLeft,
  stubsLeft,
  type WaitingRun,
} from '../../store/trim.ts';

export interface Trim {
  where: 'stub' | 'waste strip' | 'edge trim';
  /** Roll, or run of a release or plan. */
  roll?: string;
  run?: { of: number; sequence: number; released: boolean };
  product: string;
  /** Left over, and what of it could be strips. */
  widthUm: number;
  lengthMm: number;
  areaM2: number;
  /** Days in stock; undefined for what is only planned. */
  ageDays: number | undefined;
  useBy: string | null;
  fill: { widths: CatalogueWidth[]; sets: number; value: number } | undefined;
}

/** Everything that is left over and at least as wide as `leastUm`. */
export async function trimToSell(db: Knex, today: IsoDate): Promise<Trim[]> {
  const catalogue = await catalogueWidths(db);
  const slitters = await rowsByCode(db, 'slitters');
  const products = await rowsByCode(db, 'products');
  const stubs = (await stubsLeft(db, today)).map((roll) =>
    stubTrim(roll, catalogue, slitterOf(products, slitters, roll.product), today),
  );
  const released = await releasedRunsLeft(db);
  const planned = await plannedRunsLeft(db);
  const runs = [
    ...released.flatMap((one) => runTrims(one, true, catalogue, slitters)),
    ...planned.flatMap((one) => runTrims(one, false, catalogue, slitters)),
  ];
  return [...stubs, ...runs].sort(
    (a, b) => (b.fill?.value ?? 0) - (a.fill?.value ?? 0) || (b.ageDays ?? -1) - (a.ageDays ?? -1),
  );
}

/** The first slitter that may run the product. */
function slitterOf(products: readonly Row[], slitters: readonly Row[], product: string): Row | undefined {
  const codes = products.find(({ code }) => code === product)?.slitters as string[] | undefined;
  return slitters.find(({ code }) => !codes?.length || codes.includes(String(code)));
}

const um = (value: unknown): number => Number(value ?? 0);
const mostStrips = (slitter: Row | undefined): number =>
  slitter?.maxStrips == null ? Number.POSITIVE_INFINITY : Number(slitter.maxStrips);

/** A stub is a roll of its own: edge trims and lead-in come off, then any finished length that fits. */
function stubTrim(
  roll: LeftRoll,
  catalogue: readonly CatalogueWidth[],
  slitter: Row | undefined,
  today: IsoDate,
): Trim {
  const usable = roll.widthUm - um(slitter?.edgeTrimMinLeftUm) - um(slitter?.edgeTrimMinRightUm);
  const own = catalogue.filter(({ product }) => product === roll.product);
  const fills = [...new Set(own.map(({ lengthMm }) => lengthMm))].flatMap((lengthMm) => {
    const sets = Math.floor((roll.lengthMm - um(slitter?.leadInMm)) / (lengthMm + um(slitter?.tailMm)));
    const fill = fillOf(
      usable,
      own.filter((one) => one.lengthMm === lengthMm),
      sets,
      mostStrips(slitter),
    );
    return fill ? [fill] : [];
  });
  const fill = fills.sort((a, b) => b.value - a.value)[0];
  return {
    where: 'stub',
    roll: roll.code,
    product: roll.product,
    widthUm: roll.widthUm,
    lengthMm: roll.lengthMm,
    areaM2: areaM2(roll.widthUm, roll.lengthMm),
    ageDays: roll.receivedOn ? daysBetween(roll.receivedOn as IsoDate, today) : undefined,
    useBy: roll.useBy,
    fill,
  };
}

function fillOf(
  widthUm: number,
  own: readonly CatalogueWidth[],
  sets: number,
  most: number,
): Trim['fill'] | undefined {
  if (sets < 1 || own.length === 0) return undefined;
  const { items, value } = bestFill(widthUm, own, most);
  if (items.length === 0) return undefined;
  return { widths: items.map((k) => own[k] as CatalogueWidth), sets, value: value * sets };
}

/** Waste strips, and what an edge has beyond the least trim; filled in the run's own finished length. */
function runTrims(
  { of, sequence, run, sets }: WaitingRun,
  released: boolean,
  catalogue: readonly CatalogueWidth[],
  slitters: readonly Row[],
): Trim[] {
  const slitter = slitters.find(({ code }) => code === run.slitter);
  const lengthMm = mToMm(run.lengthM);
  const own = catalogue.filter((one) => one.product === run.product && one.lengthMm === lengthMm);
  const knivesLeft = mostStrips(slitter) - run.strips.filter(({ waste }) => !waste).length;
  return leftWidths(run, slitter).flatMap(({ where, widthUm }) => {
    const fill = fillOf(widthUm, own, sets, knivesLeft);
    if (!fill && where === 'edge trim') return [];
    const metres = lengthMm * sets;
    const area = areaM2(widthUm, metres);
    const place = { product: run.product, widthUm, lengthMm: metres, areaM2: area };
    return [{ where, run: { of, sequence, released }, ...place, ageDays: undefined, useBy: null, fill }];
  });
}

function leftWidths(run: Run, slitter: Row | undefined): { where: Trim['where']; widthUm: number }[] {
  const strips = run.strips.filter(({ waste }) => waste);
  const waste = strips.map(({ fromMm, toMm }) => ({
    where: 'waste strip' as const,
    widthUm: mmToUm(toMm - fromMm) as number,
  }));
  const edges = [
    mmToUm(run.trimLeftMm) - um(slitter?.edgeTrimMinLeftUm),
    mmToUm(run.trimRightMm) - um(slitter?.edgeTrimMinRightUm),
  ].map((widthUm) => ({ where: 'edge trim' as const, widthUm }));
  return [...waste, ...edges].filter(({ widthUm }) => widthUm >= um(slitter?.minStripWidthUm) && widthUm > 0);
}
