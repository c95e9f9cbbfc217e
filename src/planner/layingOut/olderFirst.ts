// Among rolls that would do equally well at equal cost, the one to be used first: first expired, then old stubs. Equal
// rolls are one stock item and take their turns by name (groupRolls); here a layout moves to another stock item that
// comes before its own, when the same sets cost the same there. Costs and sets stay what they are.
import type { IntegerPlan } from '../building/integerPlan.ts';
import { isPlain } from '../building/partRolls.ts';
import { setsOf } from '../model/columns.ts';
import { layoutOf } from '../model/layoutOf.ts';
import type { Layout, Model, Source } from '../model/model.ts';

const SAME_COST = 1e-9;

/** The same plan on the rolls that are to be used first. Stock items are in the order of use. */
export function olderFirst(model: Model, plan: IntegerPlan): IntegerPlan {
  const left = model.stock.map((item) => item.count);
  for (const { layout, times } of plan.layouts) left[model.sources[layout.source].stock] -= times;
  for (const { pattern, times } of plan.sets) {
    const source = model.sites[pattern.site].wholeRollOf;
    if (source !== undefined) left[model.sources[source].stock] -= times;
  }
  const layouts = plan.layouts.flatMap(({ layout, times }) => {
    const moved: IntegerPlan['layouts'] = [];
    let staying = times;
    for (const older of sameOnOlder(model, layout)) {
      const { stock } = model.sources[older.source];
      const n = Math.min(staying, left[stock]);
      if (n <= 0) continue;
      left[stock] -= n;
      left[model.sources[layout.source].stock] += n;
      staying -= n;
      moved.push({ layout: older, times: n });
    }
    return staying > 0 ? [...moved, { layout, times: staying }] : moved;
  });
  return { ...plan, layouts };
}

/** The same sets on every roll that comes before this one and costs as much; only where positions do not matter. */
function sameOnOlder(model: Model, layout: Layout): Layout[] {
  const own = model.sources[layout.source];
  if (!isPlain(model, own) || model.stock[own.stock].bought) return [];
  const sets = setsOf(model, layout);
  return model.sources
    .filter((other) => other.stock < own.stock && isAlike(other, own) && isPlain(model, other))
    .sort((a, b) => a.stock - b.stock)
    .flatMap((other) => layoutOf(other, sets) ?? [])
    .filter(({ source, endMm }) => {
      const more = model.sources[source].charge(endMm) - own.charge(layout.endMm);
      return Math.abs(more) <= SAME_COST * Math.max(1, Math.abs(own.charge(layout.endMm)));
    });
}

function isAlike(other: Source, own: Source): boolean {
  const readyInTime = (other.readyOn ?? '') <= (own.readyOn ?? '');
  return readyInTime && other.slitter === own.slitter && other.product === own.product;
}
