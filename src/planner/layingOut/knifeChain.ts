// Knives along a sequence of settings: each setting's strips are put in the order that shares most knives with the
// settings before and after it, one setting at a time, as long as that saves anything. For one setting between fixed
// neighbours the order is the best there is (knifeOrder.ts); for the chain as a whole it is a local best.
import type { Model } from '../model/model.ts';
import { knifeChange } from './knifeChange.ts';
import { type Placed, placeStrips, type WantedKnives } from './placeStrips.ts';
import type { Work } from './sequenceWork.ts';

const SAME = 1e-9;

/** The placings after settling the knives along this sequence of settings (indexes into the work's settings). */
export function settleKnives(
  model: Model,
  work: Work,
  chain: number[],
  placed: Placed[],
  sweeps: number,
): Placed[] {
  const settled = placed.slice();
  const tried = work.settings.map(() => '');
  for (let sweep = 0; sweep < sweeps; sweep++) {
    const forwards = settleAll(model, work, chain, settled, tried, [...new Set(chain)]);
    const backwards = settleAll(model, work, chain, settled, tried, [...new Set(chain.toReversed())]);
    if (!forwards && !backwards) break;
  }
  return settled;
}

/**
 * A chain of all settings, each placed with its knives as near as can be to those before it, and always the one next
 * that then takes the least change: a beginning in which strips follow the knives. The first is the given one.
 */
export function followKnives(
  model: Model,
  work: Work,
  first: number,
  placed: Placed[],
): { chain: number[]; placed: Placed[] } {
  const chain = [first];
  const settled = placed.slice();
  const left = new Set(work.settings.keys());
  left.delete(first);
  while (left.size > 0) {
    const before = new Set(settled[chain[chain.length - 1]].knivesUm);
    const wanted = countKnives([before]);
    let best: { s: number; own: Placed; change: [number, number] } | undefined;
    for (const s of left) {
      const own = placeStrips(model, work.settings[s], wanted);
      const { minutes, chargedMoves } = knifeChange(work.slitter, before, new Set(own.knivesUm));
      if (!best || isCheaper([minutes, chargedMoves], best.change))
        best = { s, own, change: [minutes, chargedMoves] };
    }
    const { s, own } = best as { s: number; own: Placed };
    settled[s] = own;
    chain.push(s);
    left.delete(s);
  }
  return { chain, placed: settled };
}

function settleAll(
  model: Model,
  work: Work,
  chain: number[],
  settled: Placed[],
  tried: string[],
  order: number[],
): boolean {
  let better = false;
  for (const s of order) {
    const around = wishes(work, chain, settled, s);
    const wish = JSON.stringify(around.map((wanted) => [...wanted]));
    if (tried[s] === wish) continue;
    tried[s] = wish;
    const trial = settled.slice();
    for (const wanted of around) {
      trial[s] = placeStrips(model, work.settings[s], wanted);
      if (!isCheaper(changeAround(work, chain, trial, s), changeAround(work, chain, settled, s))) continue;
      settled[s] = trial[s];
      better = true;
    }
  }
  return better;
}

/** Where the knives of setting s are wanted: by all its neighbours, by those before it, by those after it. */
function wishes(work: Work, chain: number[], placed: Placed[], s: number): WantedKnives[] {
  const before: Iterable<number>[] = [];
  const after: Iterable<number>[] = [];
  chain.forEach((setting, at) => {
    if (setting !== s) return;
    const previous = chain[at - 1];
    const next = chain[at + 1];
    if (at === 0 && work.slitter.knivesAtUm) before.push(work.slitter.knivesAtUm);
    if (previous !== undefined && previous !== s) before.push(placed[previous].knivesUm);
    if (next !== undefined && next !== s) after.push(placed[next].knivesUm);
  });
  return [[...before, ...after], before, after].filter((lists) => lists.length > 0).map(countKnives);
}

function countKnives(lists: Iterable<number>[]): WantedKnives {
  const wanted = new Map<number, number>();
  for (const list of lists) for (const at of list) wanted.set(at, (wanted.get(at) ?? 0) + 1);
  return wanted;
}

/** Minutes and moves of the changes into and out of setting s. */
function changeAround(work: Work, chain: number[], placed: Placed[], s: number): [number, number] {
  let minutes = 0;
  let moves = 0;
  chain.forEach((setting, at) => {
    const previous = chain[at - 1];
    if (setting !== s && previous !== s) return;
    const before = at === 0 ? work.slitter.knivesAtUm : placed[previous].knivesUm;
    const change = knifeChange(
      work.slitter,
      before && new Set<number>(before),
      new Set(placed[setting].knivesUm),
    );
    minutes += change.minutes;
    moves += change.chargedMoves;
  });
  return [minutes, moves];
}

function isCheaper(a: [number, number], b: [number, number]): boolean {
  return a[0] < b[0] - SAME || (a[0] <= b[0] + SAME && a[1] < b[1]);
}
