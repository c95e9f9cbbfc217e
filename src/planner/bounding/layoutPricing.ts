// Which walk along a roll is worth most at given values per set: the longest path through its positions, less what
// the roll costs when used up to the last one. One pass over the edges, which are sorted by position.
import type { Layout, Model, Source } from '../model/model.ts';

export interface LayoutAnswer {
  layout: Layout | undefined;
  /** Worth of the sets less the cost of the roll; 0 when no walk is worth its roll. */
  gain: number;
  /** No walk gains more than this. */
  upperBound: number;
}

/**
 * The best walk when a set at site s is worth slotWorth[s], and using the roll at all `rollWorth` (above 0 only for
 * rolls without bad places, that help to reach a minimum order). Ties go to the walk that ends first.
 */
export function priceLayout(
  _model: Model,
  source: Source,
  slotWorth: ArrayLike<number>,
  rollWorth = 0,
): LayoutAnswer {
  const { positionsMm, edges, complete } = source.paths;
  const worth = new Float64Array(positionsMm.length).fill(-Infinity);
  const by = new Int32Array(positionsMm.length).fill(-1);
  worth[0] = 0;
  for (let e = 0; e < edges.length; e++) {
    const { from, to, site, splices } = edges[e];
    if (worth[from] === -Infinity) continue;
    const value = worth[from] + (site >= 0 ? slotWorth[site] - splices * source.perSplice : 0);
    if (value > worth[to] + 1e-12) {
      worth[to] = value;
      by[to] = e;
    }
  }
  let best = 0;
  let gain = 0;
  for (let node = 1; node < positionsMm.length; node++) {
    if (worth[node] <= 0 && rollWorth <= 0) continue;
    const net = worth[node] + rollWorth - source.charge(positionsMm[node]);
    if (net > gain + 1e-12) {
      gain = net;
      best = node;
    }
  }
  const layout = best === 0 ? undefined : trace(source, by, best);
  return {
    layout,
    gain,
    upperBound: complete ? gain : Math.max(gain, rollWorth + perMetreBound(source, slotWorth)),
  };
}

function trace(source: Source, by: Int32Array, last: number): Layout {
  const path: number[] = [];
  for (let node = last; node !== 0; node = source.paths.edges[by[node]].from) path.unshift(by[node]);
  return { source: source.index, path, endMm: source.paths.positionsMm[last] };
}

/** With positions left out, the worth per metre of the best set along the whole roll bounds every walk. */
function perMetreBound(source: Source, slotWorth: ArrayLike<number>): number {
  const { positionsMm, edges } = source.paths;
  let perMm = 0;
  for (const { from, to, site } of edges) {
    if (site >= 0) perMm = Math.max(perMm, slotWorth[site] / (positionsMm[to] - positionsMm[from]));
  }
  const costPerMm = source.charge(source.lengthMm) / source.lengthMm;
  return Math.max(0, (perMm - costPerMm) * (source.lengthMm - source.startMm) - costPerMm * source.startMm);
}
