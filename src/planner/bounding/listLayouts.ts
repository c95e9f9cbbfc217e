// Lists of layouts of a roll: every one whose reduced cost is below a gap, or every one that gives no more sets than
// are owed. Layouts with the same sets and the same end are one.
import type { Layout, Model, Source } from '../model/model.ts';
import type { Worth } from './master.ts';

/** Layouts of one source; undefined when there are more than `most`. */
export function listLayouts(
  model: Model,
  worth: Worth,
  gap: number,
  most: number,
  source: Source,
): Layout[] | undefined {
  const wholeRolls = source.paths.edges.every(
    (edge) => edge.site < 0 || model.sites[edge.site].wholeRollOf !== undefined,
  );
  if (wholeRolls) return [];
  return source.paths.complete ? listOf(source, worth, gap, most) : undefined;
}

/** The layouts of one roll with no more sets at each site than `owed`, at most so many, the longest ones if need be. */
export function layoutsWithin(source: Source, owed: number[], most: number): Layout[] {
  const within = (counts: Map<number, number>) => [...counts].every(([site, n]) => n <= owed[site]);
  const found = walk(source, (partial) => within(partial.counts), 20 * most) ?? [];
  return found
    .slice(-most)
    .map(({ path, node }) => ({ source: source.index, path, endMm: source.paths.positionsMm[node] }));
}

function listOf(source: Source, worth: Worth, gap: number, most: number): Layout[] | undefined {
  const { positionsMm } = source.paths;
  const rollWorth = worth.roll[source.index];
  const ahead = bestAhead(source, worth);
  const setsWorth = ({ counts, splices }: Partial) =>
    [...counts].reduce((sum, [site, n]) => sum + n * worth.slot[site], -splices * source.perSplice);
  const promising = (partial: Partial) => -(setsWorth(partial) + ahead[partial.node]) - rollWorth <= gap;
  const found = walk(source, promising, 20 * most);
  const listed = found?.filter(
    (partial) => source.charge(positionsMm[partial.node]) - setsWorth(partial) - rollWorth <= gap,
  );
  if (!listed || listed.length > most) return undefined;
  return listed.map(({ path, node }) => ({ source: source.index, path, endMm: positionsMm[node] }));
}

interface Partial {
  node: number;
  path: number[];
  /** Sets per site: with the node, what distinguishes two walks. */
  counts: Map<number, number>;
  splices: number;
}

/** Every distinct walk with at least one set that goes on being wanted; undefined when there are more than `most`. */
function walk(source: Source, wanted: (partial: Partial) => boolean, most: number): Partial[] | undefined {
  const { positionsMm, edges } = source.paths;
  const from = positionsMm.map(() => [] as number[]);
  edges.forEach((edge, e) => {
    from[edge.from].push(e);
  });
  const reached = positionsMm.map(() => new Map<string, Partial>());
  reached[0].set('', { node: 0, path: [], counts: new Map(), splices: 0 });
  const found: Partial[] = [];
  for (const partials of reached) {
    for (const partial of partials.values()) {
      if (partial.counts.size > 0) found.push(partial);
      if (found.length > most) return undefined;
      for (const e of from[partial.node]) {
        const next = stepped(partial, edges[e], e);
        const key = keyOf(next);
        if (!reached[next.node].has(key) && wanted(next)) reached[next.node].set(key, next);
      }
    }
  }
  return found;
}

function stepped(partial: Partial, edge: Source['paths']['edges'][number], e: number): Partial {
  const counts = new Map(partial.counts);
  if (edge.site >= 0) counts.set(edge.site, (counts.get(edge.site) ?? 0) + 1);
  return { node: edge.to, path: [...partial.path, e], counts, splices: partial.splices + edge.splices };
}

function keyOf({ counts, splices }: Partial): string {
  const sets = [...counts]
    .sort((a, b) => a[0] - b[0])
    .map(([site, n]) => `${site}x${n}`)
    .join(',');
  return `${sets};${splices}`;
}

/** For each node the most that can still be gained: sets ahead less the roll's cost at the end. */
function bestAhead(source: Source, worth: Worth): Float64Array {
  const { positionsMm, edges } = source.paths;
  const best = Float64Array.from(positionsMm, (position) => -source.charge(position));
  for (let e = edges.length - 1; e >= 0; e--) {
    const { from, to, site, splices } = edges[e];
    const own = site >= 0 ? worth.slot[site] - splices * source.perSplice : 0;
    best[from] = Math.max(best[from], best[to] + own);
  }
  return best;
}
