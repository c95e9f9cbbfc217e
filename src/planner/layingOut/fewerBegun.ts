// Rolls that are bought cost the same whether they are begun or not, so of plans that cost alike this is the one that a
// purchaser expects: of each kind of bought roll as few begun as can be, none coated further than its sets need. The
// sets of a kind are packed anew, long ones first, each on the first roll that has room (first fit decreasing; Johnson,
// PhD thesis, MIT, 1973). What is bought stays as it is.
import type { IntegerPlan } from '../building/integerPlan.ts';
import { slotsIn } from '../building/packRolls.ts';
import { isPlain } from '../building/partRolls.ts';
import { setsOf } from '../model/columns.ts';
import { layoutOf } from '../model/layoutOf.ts';
import type { Layout, Model, Source } from '../model/model.ts';

export function fewerBegun(model: Model, plan: IntegerPlan): IntegerPlan {
  const spare = slotsIn(model, plan.layouts);
  for (const { pattern, times } of plan.sets) spare[pattern.site] -= times;
  const layouts = model.sources.flatMap((source) => {
    const own = plan.layouts.filter(({ layout }) => layout.source === source.index);
    const isFree = model.stock[source.stock].bought !== undefined && isPlain(model, source);
    return isFree && own.length > 0 ? packed(model, source, own, spare) : own;
  });
  return { ...plan, layouts };
}

/** The sets that these rolls must give, on as few of them; the rolls as they are where that does not come out. */
function packed(
  model: Model,
  source: Source,
  own: IntegerPlan['layouts'],
  spare: number[],
): IntegerPlan['layouts'] {
  const needed = new Map<number, number>();
  for (const { layout, times } of own) {
    for (const [site, n] of setsOf(model, layout)) needed.set(site, (needed.get(site) ?? 0) + n * times);
  }
  for (const [site, n] of needed) needed.set(site, n - Math.max(0, Math.min(n, spare[site])));
  const rolls = firstFit(source, needed);
  const begun = own.reduce((sum, { times }) => sum + times, 0);
  const layouts = rolls.map((sets) => layoutOf(source, new Map([...sets].sort((a, b) => a[0] - b[0]))));
  if (rolls.length > begun || layouts.some((layout) => layout === undefined)) return own;
  for (const { layout, times } of own) {
    for (const [site, n] of setsOf(model, layout)) spare[site] -= n * times;
  }
  for (const [site, n] of needed) spare[site] += n;
  return layouts.map((layout) => ({ layout: layout as Layout, times: 1 }));
}

/** Sets by site for each roll. */
function firstFit(source: Source, needed: Map<number, number>): Map<number, number>[] {
  const { edges, positionsMm } = source.paths;
  const lengthAt = (site: number) => {
    const edge = edges.find((one) => one.site === site);
    return edge ? positionsMm[edge.to] - positionsMm[edge.from] : Infinity;
  };
  const rolls: { leftMm: number; sets: Map<number, number> }[] = [];
  const longFirst = [...needed.keys()].sort((a, b) => lengthAt(b) - lengthAt(a) || a - b);
  for (const site of longFirst) {
    const lengthMm = lengthAt(site);
    for (let k = needed.get(site) ?? 0; k > 0; k--) {
      let roll = rolls.find(({ leftMm }) => leftMm >= lengthMm);
      if (!roll) {
        roll = { leftMm: source.lengthMm - source.startMm, sets: new Map() };
        rolls.push(roll);
      }
      roll.leftMm -= lengthMm;
      roll.sets.set(site, (roll.sets.get(site) ?? 0) + 1);
    }
  }
  return rolls.map(({ sets }) => sets);
}
