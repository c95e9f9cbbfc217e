// The arc-flow model of the cutting-stock problem (Valerio de Carvalho, Annals of Operations Research 86, 1999) as the
// benchmark's opponent, solved by HiGHS: a roll is a path from 0 to its width, an arc of length w is a strip of width w.
// Strips come widest first (his reduction), an item's arcs start only where wider strips can end, at most `demand` of
// them in a chain; unused width goes along loss arcs from each node to the next.

import type { Column, MipAnswer } from '../planner/reference/highsMip.ts';
import { OPTIMAL, solveMip } from '../planner/reference/highsMip.ts';
import type { Instance } from '../readCases.ts';
import { cpuSeconds } from './cpuSeconds.ts';

const MOST_ARCS = 200_000;

export interface ArcFlowAnswer {
  outcome: 'optimal' | 'unfinished' | 'too large';
  rolls: number | undefined;
  arcs: number;
  seconds: number;
}

export function solveArcFlow(instance: Instance, seconds: number): ArcFlowAnswer {
  const start = cpuSeconds();
  const graph = buildGraph(instance);
  const spent = () => cpuSeconds() - start;
  if (!graph) return { outcome: 'too large', rolls: undefined, arcs: MOST_ARCS, seconds: spent() };
  const { rows, columns } = asProgram(instance, graph);
  const answer = solveMip(rows, columns, { seconds, absoluteGap: 0.99 });
  return { outcome: outcomeOf(answer), rolls: rollsOf(answer), arcs: graph.arcs.length, seconds: spent() };
}

function outcomeOf(answer: MipAnswer): ArcFlowAnswer['outcome'] {
  return answer.status === OPTIMAL ? 'optimal' : 'unfinished';
}

function rollsOf(answer: MipAnswer): number | undefined {
  return answer.cost > 0 && answer.cost < 1e9 ? Math.round(answer.cost) : undefined;
}

interface Graph {
  /** Positions in increasing order, 0 first and the roll's width last. */
  nodes: number[];
  arcs: { from: number; to: number; item: number }[];
}

function buildGraph({ rollWidth, items }: Instance): Graph | undefined {
  const widestFirst = items
    .map(([width, demand], item) => ({ width, demand, item }))
    .sort((a, b) => b.width - a.width);
  const reached = new Set([0]);
  const arcs: Graph['arcs'] = [];
  for (const { width, demand, item } of widestFirst) {
    const tails = new Set<number>();
    for (const start of [...reached]) {
      for (let k = 0; k < demand && start + (k + 1) * width <= rollWidth; k++) tails.add(start + k * width);
    }
    for (const tail of tails) {
      arcs.push({ from: tail, to: tail + width, item });
      reached.add(tail + width);
    }
    if (arcs.length > MOST_ARCS) return undefined;
  }
  const nodes = [...reached.add(rollWidth)].sort((a, b) => a - b);
  return { nodes, arcs };
}

function asProgram({ items }: Instance, { nodes, arcs }: Graph) {
  const index = new Map(nodes.map((node, at) => [node, at]));
  const rows = [
    ...nodes.map(() => ({ lower: 0, upper: 0 })),
    ...items.map(([, demand]) => ({ lower: demand, upper: Number.POSITIVE_INFINITY })),
  ];
  const flow = (from: number, to: number): [number, number][] => [
    [from, -1],
    [to, 1],
  ];
  const unbounded = Number.POSITIVE_INFINITY;
  const rolls: Column = { cost: 1, upper: unbounded, whole: true, entries: flow(nodes.length - 1, 0) };
  const strips = arcs.map(
    ({ from, to, item }): Column => ({
      cost: 0,
      upper: items[item]![1],
      whole: true,
      entries: [...flow(index.get(from)!, index.get(to)!), [nodes.length + item, 1]],
    }),
  );
  const losses = nodes
    .slice(1)
    .map((_, at): Column => ({ cost: 0, upper: unbounded, whole: true, entries: flow(at, at + 1) }));
  return { rows, columns: [rolls, ...strips, ...losses] };
}
