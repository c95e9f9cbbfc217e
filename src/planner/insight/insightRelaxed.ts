// A problem's linear relaxation, brought to its end, and the range that it proves. A changed problem begins with the
// columns of the one it was made from, where its sites and rolls begin with the same ones.
import type { Range } from '../../domain/insight.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { type Relaxation, relax } from '../bounding/bounding.ts';
import { buildModel } from '../model/buildModel.ts';
import type { Column } from '../model/columns.ts';
import type { Model, Site, Source } from '../model/model.ts';
import { everything } from '../model/remaining.ts';

export interface Relaxed {
  model: Model;
  relaxation: Relaxation;
  /** The least cost of the relaxation lies in here; set-ups are left out. */
  range: Range;
}

/**
 * Relaxes the problem. `like`: the relaxation of a problem of which this one forbids no pattern, but by quantities.
 * undefined when the time was up first.
 */
export function relaxed(problem: Problem, control: PlanControl, like?: Relaxed): Relaxed | undefined {
  // Costs in steps would let the relaxation stop before its end.
  const model = { ...buildModel(problem), costStep: 0 };
  const remaining = everything(model);
  const pool =
    like && beginsLike(model, like.model)
      ? like.relaxation.columns.filter((column) => isProper(model, column, remaining.max))
      : [];
  const relaxation = relax(model, remaining, pool, { setups: false, enough: Infinity, control });
  if (control.secondsLeft() <= 0) return undefined;
  const { bound, objective } = relaxation;
  return { model, relaxation, range: { least: Math.min(bound, objective), most: objective } };
}

/** A set that makes more of something than is wanted belongs to no plan, and its column to no relaxation. */
function isProper(model: Model, column: Column, max: number[]): boolean {
  if (column.kind !== 'pattern') return true;
  const { demands } = model.sites[column.pattern.site];
  return column.pattern.counts.every((n, k) => n <= max[demands[k]]);
}

/** Whether numbers of demands, sites, stock and sources mean the same in both, as far as the second has them. */
function beginsLike(model: Model, like: Model): boolean {
  const same = <Item>(items: Item[], first: Item[], text: (item: Item) => string) =>
    first.every((item, i) => items[i] !== undefined && text(items[i]) === text(item));
  const ofSite = ({ place, web, demands, costPerStrip, wholeRollOf }: Site) =>
    JSON.stringify([
      place.slitter.id,
      place.product.id,
      place.widthUm,
      place.lengthMm,
      web,
      demands,
      costPerStrip,
      wholeRollOf,
    ]);
  const ofSource = ({ stock, slitter, product, widthUm, lengthMm, startMm, paths, charge }: Source) =>
    JSON.stringify([
      stock,
      slitter.id,
      product.id,
      widthUm,
      lengthMm,
      startMm,
      paths.edges.length,
      charge(lengthMm),
    ]);
  return (
    model.demands.length === like.demands.length &&
    same(
      model.demands,
      like.demands,
      ({ product, widthUm, lengthMm }) => `${product}|${widthUm}|${lengthMm}`,
    ) &&
    same(model.sites, like.sites, ofSite) &&
    same(model.sources, like.sources, ofSource)
  );
}
