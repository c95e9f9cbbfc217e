// From single cuts to the runs of the plan: sets in a row with the same knives and the same owners are one run, unless
// a new one has to begin for the sake of a date.
import type { RunFrom, Strip, UntimedRun } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import type { Model, Pattern, Source } from '../model/model.ts';
import { type LabelStyle, type Labels, openLabels, type Piece } from './labels.ts';
import type { Placed } from './placeStrips.ts';

/** One set as it is cut. */
export interface Cut {
  pattern: Pattern;
  placed: Placed;
  source: Source;
  roll: string;
  startMm: number;
  /** Where the set and its tail end. */
  endMm: number;
  /** Bad metres cut out on the way. */
  cutOutMm: number;
  splices: number;
  /** The roll counts as used at least up to here. */
  usedToMm: number;
  /** A run begins here even if the set before was cut alike. */
  beginsRun: boolean;
}

/** `breaks`: indexes of cuts at which a run begins whatever was cut before. */
export function makeRuns(
  problem: Problem,
  model: Model,
  cuts: Cut[],
  style: LabelStyle,
  breaks: ReadonlySet<number>,
): UntimedRun[] {
  const labels = openLabels(problem, model, rollsMade(model, cuts), style);
  return segments(cuts, breaks).flatMap((segment) => labelled(problem, model, segment, labels));
}

/** Strips cut of each demand. */
function rollsMade(model: Model, cuts: Cut[]): number[] {
  const made = model.demands.map(() => 0);
  for (const { pattern } of cuts) {
    pattern.counts.forEach((n, k) => {
      made[model.sites[pattern.site].demands[k]] += n;
    });
  }
  return made;
}

function segments(cuts: Cut[], breaks: ReadonlySet<number>): Cut[][] {
  const found: Cut[][] = [];
  cuts.forEach((cut, at) => {
    const last = found.at(-1);
    if (last && last[0].pattern === cut.pattern && !cut.beginsRun && !breaks.has(at)) last.push(cut);
    else found.push([cut]);
  });
  return found;
}

/** Splits a segment wherever the owner of a strip changes. */
function labelled(problem: Problem, model: Model, segment: Cut[], labels: Labels): UntimedRun[] {
  const { lanes } = segment[0].placed;
  const owners = ownersOf(lanes, segment.length, labels);
  const starts = new Set([0]);
  for (const pieces of owners) {
    let at = 0;
    for (const piece of pieces ?? []) {
      at += piece.sets;
      starts.add(at);
    }
  }
  const bounds = [...starts].filter((at) => at < segment.length).sort((a, b) => a - b);
  return bounds.map((from, i) => {
    const cuts = segment.slice(from, bounds[i + 1] ?? segment.length);
    const strips = lanes.map((lane, l) => strip(problem, model, lane, owners[l] && ownerAt(owners[l], from)));
    return bareRun(model, cuts, strips);
  });
}

/** Pieces per lane; undefined for lanes that are waste from the start. */
function ownersOf(lanes: Cut['placed']['lanes'], sets: number, labels: Labels): (Piece[] | undefined)[] {
  const owners: (Piece[] | undefined)[] = lanes.map(() => undefined);
  for (const demand of new Set(lanes.map((lane) => lane.demand))) {
    if (demand < 0) continue;
    const own = lanes.flatMap((lane, l) => (lane.demand === demand ? [l] : []));
    labels.label(demand, own.length, sets).forEach((pieces, i) => {
      owners[own[i]] = pieces;
    });
  }
  return owners;
}

function ownerAt(pieces: Piece[], set: number): Piece {
  let at = 0;
  for (const piece of pieces) {
    at += piece.sets;
    if (set < at) return piece;
  }
  throw new Error('a set without an owner');
}

function strip(
  problem: Problem,
  model: Model,
  lane: Cut['placed']['lanes'][number],
  owner: Piece | undefined,
): Strip {
  const place = { fromMm: umToMm(lane.fromUm), toMm: umToMm(lane.toUm) };
  if (!owner || owner.waste) return { ...place, waste: true };
  if (owner.order !== undefined) return { ...place, order: problem.orders[owner.order].id };
  return { ...place, filler: model.demands[lane.demand].filler };
}

function bareRun(model: Model, cuts: Cut[], strips: Strip[]): UntimedRun {
  const { source, pattern, placed } = cuts[0];
  const { lengthMm } = model.sites[pattern.site].place;
  const lastUm = placed.lanes[placed.lanes.length - 1].toUm;
  return {
    slitter: source.slitter.id,
    product: source.product.id,
    lengthM: mmToM(lengthMm),
    sets: cuts.length,
    trimLeftMm: umToMm(placed.lanes[0].fromUm),
    trimRightMm: umToMm(source.widthUm - lastUm),
    strips,
    from: fromRolls(cuts),
  };
}

function fromRolls(cuts: Cut[]): RunFrom[] {
  const from: RunFrom[] = [];
  let end = Number.NaN;
  for (const cut of cuts) {
    const last = from.at(-1);
    if (last && last.roll === cut.roll && cut.startMm === end) last.sets++;
    else from.push({ roll: cut.roll, sets: 1, startM: mmToM(cut.startMm) });
    end = cut.endMm;
  }
  return from;
}
