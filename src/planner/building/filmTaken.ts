// What the film costs that planned sets take, before they are laid out on rolls: rolls that serve the same sites are
// filled one after the other, those first that cost least for each metre. An estimate, for searches that compare
// thousands of plans: walks past bad places and mixtures of finished lengths are left to packRolls.ts. Units: mm.
import type { Model, Source } from '../model/model.ts';
import { sitesOf } from '../model/siteSources.ts';

export interface FilmTaken {
  /** Estimated cost of the rolls that give so many sets at each site; Infinity when there is too little film. */
  cost(sets: number[]): number;
  /** How many more sets this site can give, beside so many everywhere. */
  roomFor(site: number, sets: ArrayLike<number>): number;
}

export function openFilm(model: Model): FilmTaken {
  const groups = joinedSites(model).map((sites) => groupOf(model, sites));
  const groupAt = model.sites.map((_, s) => groups.find(({ steps }) => steps.some(({ site }) => site === s)));
  const most = model.sites.map((_, site) => mostSetsAt(model, site));
  return {
    cost: (sets) =>
      sets.some((n, site) => n > most[site])
        ? Infinity
        : groups.reduce((sum, group) => sum + costOfGroup(group, sets), 0),
    roomFor(site, sets) {
      const group = groupAt[site];
      const alone = most[site] - sets[site];
      if (!group) return alone;
      const step = group.steps.find((own) => own.site === site)?.mm as number;
      return Math.min(alone, Math.floor((group.roomMm - taken(group, sets)) / step));
    },
  };
}

interface Group {
  steps: { site: number; mm: number }[];
  roomMm: number;
  /** Parts of rolls in the order in which they are taken. */
  parts: Part[];
}

/** A part of a roll along its length: what keeps a stub of it worth keeping, or the rest. */
interface Part {
  count: number;
  mm: number;
  /** The part that is taken before it. */
  behind: Part | undefined;
  /** Cost of taking so much of the part, one roll of it. */
  charge(mm: number): number;
}

/** Sites that rolls have in common, in groups. */
function joinedSites(model: Model): number[][] {
  let groups: number[][] = [];
  for (const source of model.sources) {
    const own = new Set(
      model.sources.filter(({ stock }) => stock === source.stock).flatMap((same) => sitesOf(same)),
    );
    const met = groups.filter((group) => group.some((site) => own.has(site)));
    groups = [...groups.filter((group) => !met.includes(group)), [...new Set([...own, ...met.flat()])]];
  }
  return groups;
}

function groupOf(model: Model, sites: number[]): Group {
  const sources = model.sources.filter((source) => sitesOf(source).some((site) => sites.includes(site)));
  const inPart = sites.filter((site) => model.sites[site].wholeRollOf === undefined);
  if (inPart.length === 0) return wholeRolls(sites, model.stock[sources[0].stock].count);
  const steps = inPart.map((site) => ({
    site,
    mm: Math.min(...sources.map((source) => stepOf(source, site))),
  }));
  const firsts = sources.filter(
    (source, i) => sources.findIndex(({ stock }) => stock === source.stock) === i,
  );
  const lengths = [...new Set(steps.map(({ mm }) => mm))];
  // sets of one length end at its multiples; mixtures end almost anywhere
  const inSteps = (mm: number) => (lengths.length === 1 ? Math.floor(mm / lengths[0]) * lengths[0] : mm);
  const parts = firsts.flatMap((source) => partsOf(source, model.stock[source.stock].count, inSteps));
  const rate = ({ charge, mm, behind }: Part): number => Math.max(charge(mm) / mm, behind ? rate(behind) : 0);
  return {
    steps,
    roomMm: parts.reduce((sum, { count, mm }) => sum + count * mm, 0),
    parts: parts.sort((a, b) => rate(a) - rate(b)),
  };
}

/** Where each set takes a whole roll: its cost is part of the set's. */
function wholeRolls(sites: number[], count: number): Group {
  const part = { count, mm: 1, behind: undefined, charge: () => 0 };
  return { steps: sites.map((site) => ({ site, mm: 1 })), roomMm: count, parts: [part] };
}

function partsOf(source: Source, count: number, inSteps: (mm: number) => number): Part[] {
  const { startMm, lengthMm, charge } = source;
  const room = inSteps(lengthMm - startMm);
  const kept = Math.max(0, inSteps(longestKept(source) - startMm));
  const first: Part = { count, mm: kept, behind: undefined, charge: (mm) => charge(startMm + mm) };
  const rest: Part = {
    ...{ count, mm: room - kept, behind: kept > 0 ? first : undefined },
    charge: (mm) => charge(startMm + kept + mm) - (kept > 0 ? charge(startMm + kept) : 0),
  };
  return [first, rest].filter(({ mm }) => mm > 0 && count > 0);
}

/** The last position up to which it may be used and what is left is kept. */
function longestKept({ keepsStub, lengthMm }: Source): number {
  let [low, high] = [-1, lengthMm as number];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (keepsStub(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/** What a set at the site takes off the roll; Infinity when it gives none. */
function stepOf({ paths }: Source, site: number): number {
  const edge = paths.edges.find((candidate) => candidate.site === site);
  return edge ? paths.positionsMm[edge.to] - paths.positionsMm[edge.from] : Infinity;
}

function taken({ steps }: Group, sets: ArrayLike<number>): number {
  let mm = 0;
  for (const step of steps) mm += sets[step.site] * step.mm;
  return mm;
}

/** Whole parts one after the other, then what is left of the one that then costs least. */
function costOfGroup(group: Group, sets: number[]): number {
  let left = taken(group, sets);
  let cost = 0;
  for (const [i, { count, mm, charge }] of group.parts.entries()) {
    if (left <= 0) return cost;
    const whole = Math.min(count, Math.floor(left / mm));
    if (whole > 0) cost += whole * charge(mm);
    left -= whole * mm;
    if (whole < count && left > 0) return cost + leastFor(group.parts, i, left);
  }
  return left > 0 ? Infinity : cost;
}

function leastFor(parts: Part[], from: number, left: number): number {
  let least = Infinity;
  for (let i = from; i < parts.length; i++) {
    const { mm, behind, charge } = parts[i];
    const open = i === from || !behind || parts.indexOf(behind) < from;
    if (mm >= left && open) least = Math.min(least, charge(left));
  }
  return least;
}

/** The most sets that all rolls together can give at this site. */
function mostSetsAt(model: Model, site: number): number {
  const { wholeRollOf } = model.sites[site];
  if (wholeRollOf !== undefined) return model.stock[model.sources[wholeRollOf].stock].count;
  return model.sources.reduce(
    (sum, source) => sum + model.stock[source.stock].count * chain(source, site),
    0,
  );
}

/** How many sets of this site follow one another on a roll at most. */
function chain({ paths: { edges } }: Source, site: number): number {
  let sets = 0;
  let node = 0;
  for (const edge of edges) {
    if (edge.site !== site || edge.from < node) continue;
    sets++;
    node = edge.to;
  }
  return sets;
}
