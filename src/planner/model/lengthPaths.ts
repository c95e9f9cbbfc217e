// Every way of cutting one roll along its length into sets. Positions are found once, walking from the lead-in by
// whole sets; where a set would begin in a bad place or may not meet one, the metres up to its end are passed over. A
// set may run over full-width bad places as long as the product allows the splices, and takes that much more of the
// roll. Which lanes a set must keep clear of follows from where it lies, so each edge names its own site.
// Sets need begin only where one ends or a bad place ends: any other can be moved towards the outer end until it does.
import { laySet, type Stretch } from './cutOuts.ts';
import type { LengthPaths } from './model.ts';

export interface Walk {
  startMm: number;
  lengthMm: number;
  /** What one set of each kind takes off the roll: finished length, and tail. */
  kinds: { lengthMm: number; tailMm: number }[];
  /** Every bad place, whatever its width. */
  bad: Stretch[];
  /** Those over the full width, in order and apart from each other. */
  cutOuts: Stretch[];
  maxSplices: number;
  /** The web is walked from its inner end: each set lies behind its tail. */
  tailFirst: boolean;
  /** Sites of a set of kind k over [fromMm, toMm), cut-outs aside; none when nothing can be cut there. */
  sitesFor(kind: number, fromMm: number, toMm: number): number[];
}

type Step = { fromMm: number; toMm: number; site: number; cutOutMm: number; splices: number };

const MOST_POSITIONS = 20_000;

/** Positions and steps of every walk, in the order of positions. */
export function walkPaths(walk: Walk): LengthPaths {
  const nodes = new Map<number, number>([[walk.startMm, 0]]);
  const pending = [walk.startMm];
  const steps: Step[] = [];
  const visit = (step: Step) => {
    const { toMm } = step;
    if (toMm > walk.lengthMm || (!nodes.has(toMm) && nodes.size >= MOST_POSITIONS)) return;
    steps.push(step);
    if (nodes.has(toMm)) return;
    nodes.set(toMm, 0);
    pending.push(toMm);
  };
  while (pending.length > 0) {
    const at = pending.pop() as number;
    for (const step of stepsFrom(walk, at)) visit(step);
  }
  const positionsMm = [...nodes.keys()].sort((a, b) => a - b);
  for (const [i, position] of positionsMm.entries()) nodes.set(position, i);
  const edges = steps.map(({ fromMm, toMm, ...step }) => {
    return { from: nodes.get(fromMm) as number, to: nodes.get(toMm) as number, ...step };
  });
  edges.sort((a, b) => a.from - b.from || a.to - b.to || a.site - b.site);
  return { positionsMm, edges, complete: nodes.size < MOST_POSITIONS };
}

function stepsFrom(walk: Walk, at: number): Step[] {
  const steps: Step[] = [];
  let reachMm = at;
  let aheadMm = 0;
  walk.kinds.forEach(({ lengthMm, tailMm }, kind) => {
    aheadMm = walk.tailFirst ? tailMm : 0;
    const { endMm, cutOutMm, splices, beginsBad } = laySet(walk.cutOuts, at + aheadMm, lengthMm);
    reachMm = Math.max(reachMm, endMm);
    if (beginsBad || splices > walk.maxSplices || endMm + tailMm - aheadMm > walk.lengthMm) return;
    const toMm = endMm + tailMm - aheadMm;
    const sites = walk.sitesFor(kind, at + aheadMm, endMm);
    steps.push(...sites.map((site) => ({ fromMm: at, toMm, site, cutOutMm, splices })));
  });
  for (const bad of walk.bad) {
    // passing over is worth while only when a set from here would meet the bad place
    const toMm = bad.toMm - aheadMm;
    if (toMm > at && bad.fromMm < reachMm)
      steps.push({ fromMm: at, toMm, site: -1, cutOutMm: 0, splices: 0 });
  }
  return steps;
}
