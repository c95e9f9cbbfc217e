// A walk along a roll that gives the wanted sets one after the other: for rolls on which positions do not matter.
import type { Layout, Source } from './model.ts';

/** These sets one after the other, in the order of sites; undefined when the roll does not hold them. */
export function layoutOf(source: Source, sets: Map<number, number>): Layout | undefined {
  const { edges, positionsMm } = source.paths;
  const byStart = new Map(edges.map((edge, e) => [`${edge.from}|${edge.site}`, e]));
  const path: number[] = [];
  let node = 0;
  for (const [site, n] of sets) {
    for (let k = 0; k < n; k++) {
      const e = byStart.get(`${node}|${site}`);
      if (e === undefined) return undefined;
      path.push(e);
      node = edges[e].to;
    }
  }
  return { source: source.index, path, endMm: positionsMm[node] };
}
