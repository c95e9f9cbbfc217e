// Every layout of a roll whose reduced cost is below a gap. Layouts with the same sets and the same end are one.
import type { Worth } from './master.ts';
import type { Layout, Model, Source } from './model.ts';

/** undefined when there are more than `most`. */
export function listLayouts(model: Model, worth: Worth, gap: number, most: number): Layout[] | undefined {
  const all: Layout[] = [];
  for (const source of model.sources) {
    const wholeRolls = source.paths.edges.every(
      (edge) => edge.site < 0 || model.sites[edge.site].wholeRollOf !== undefined,
    );
    if (wholeRolls) continue;
    if (!source.paths.complete) return undefined;
    const found = listOf(source, worth, gap, most - all.length);
    if (!found) return undefined;
    all.push(...found);
  }
  return all;
}

interface Partial {
  node: number;
  value: number;
  path: number[];
  key: string;
}

function listOf(source: Source, worth: Worth, gap: number, most: number): Layout[] | undefined {
  const { positionsMm, edges } = source.paths;
  const rollWorth = worth.roll[source.index];
  const ahead = bestAhead(source, worth);
  const from = positionsMm.map(() => [] as number[]);
  edges.forEach((edge, e) => {
    from[edge.from].push(e);
  });
  const reached = positionsMm.map(() => new Map<string, Partial>());
  reached[0].set('', { node: 0, value: 0, path: [], key: '' });
  const layouts: Layout[] = [];
  let steps = 0;
  for (let node = 0; node < positionsMm.length; node++) {
    for (const partial of reached[node].values()) {
      if (++steps > 20 * most) return undefined;
      const reduced = source.charge(positionsMm[node]) - partial.value - rollWorth;
      if (node > 0 && reduced <= gap)
        layouts.push({ source: source.index, path: partial.path, endMm: positionsMm[node] });
      if (layouts.length > most) return undefined;
      for (const e of from[node]) step(partial, e);
    }
  }
  return layouts;

  function step(partial: Partial, e: number): void {
    const { to, site } = edges[e];
    const value = partial.value + (site >= 0 ? worth.slot[site] : 0);
    if (-(value + ahead[to]) - rollWorth > gap) return;
    const path = [...partial.path, e];
    const key = keyOf(source, path);
    if (!reached[to].has(key)) reached[to].set(key, { node: to, value, path, key });
  }
}

/** Sets per site: what distinguishes two walks that end at the same position. */
function keyOf(source: Source, path: number[]): string {
  const sets = new Map<number, number>();
  for (const e of path) {
    const { site } = source.paths.edges[e];
    if (site >= 0) sets.set(site, (sets.get(site) ?? 0) + 1);
  }
  return [...sets]
    .sort((a, b) => a[0] - b[0])
    .map(([site, n]) => `${site}x${n}`)
    .join(',');
}

/** For each node the most that can still be gained: sets ahead less the roll's cost at the end. */
function bestAhead(source: Source, worth: Worth): Float64Array {
  const { positionsMm, edges } = source.paths;
  const best = Float64Array.from(positionsMm, (position) => -source.charge(position));
  for (let e = edges.length - 1; e >= 0; e--) {
    const { from, to, site } = edges[e];
    best[from] = Math.max(best[from], best[to] + (site >= 0 ? worth.slot[site] : 0));
  }
  return best;
}
