// Every way of cutting one roll along its length into sets. Positions are found once, walking from the lead-in by
// whole sets; a set that would run over a full-width bad place is not walked, metres up to its end are passed over
// instead. Which lanes a set must keep clear of follows from where it lies, so each edge names its own site.
import type { LengthPaths } from './model.ts';

/** A bad place as the walk sees it: metres from the outer end; lanes that no strip may touch, or the whole width. */
export interface BadStretch {
  fromMm: number;
  toMm: number;
}

export interface Walk {
  startMm: number;
  lengthMm: number;
  /** What one set of each kind takes off the roll: finished length, and tail. */
  kinds: { lengthMm: number; tailMm: number }[];
  bad: BadStretch[];
  /** Site of a set of kind k over [fromMm, toMm); undefined when nothing can be cut there. */
  siteFor(kind: number, fromMm: number, toMm: number): number | undefined;
}

const MOST_POSITIONS = 20_000;

/** Positions and steps of every walk, in the order of positions. */
export function walkPaths(walk: Walk): LengthPaths {
  const nodes = new Map<number, number>([[walk.startMm, 0]]);
  const pending = [walk.startMm];
  const steps: { fromMm: number; toMm: number; site: number }[] = [];
  const visit = (fromMm: number, toMm: number, site: number) => {
    if (toMm > walk.lengthMm || (!nodes.has(toMm) && nodes.size >= MOST_POSITIONS)) return;
    steps.push({ fromMm, toMm, site });
    if (nodes.has(toMm)) return;
    nodes.set(toMm, 0);
    pending.push(toMm);
  };
  while (pending.length > 0) {
    const at = pending.pop() as number;
    stepsFrom(walk, at, visit);
  }
  const positionsMm = [...nodes.keys()].sort((a, b) => a - b);
  for (const [i, position] of positionsMm.entries()) nodes.set(position, i);
  const edges = steps.map((s) => ({ from: nodes.get(s.fromMm)!, to: nodes.get(s.toMm)!, site: s.site }));
  edges.sort((a, b) => a.from - b.from || a.to - b.to || a.site - b.site);
  return { positionsMm, edges, complete: nodes.size < MOST_POSITIONS };
}

function stepsFrom(walk: Walk, at: number, visit: (from: number, to: number, site: number) => void): void {
  walk.kinds.forEach((kind, k) => {
    const site = walk.siteFor(k, at, at + kind.lengthMm);
    if (site !== undefined) visit(at, at + kind.lengthMm + kind.tailMm, site);
  });
  const longest = Math.max(0, ...walk.kinds.map((kind) => kind.lengthMm));
  for (const bad of walk.bad) {
    // passing over is worth while only when a set from here would meet the bad place
    if (bad.toMm > at && bad.fromMm < at + longest) visit(at, bad.toMm, -1);
  }
}
