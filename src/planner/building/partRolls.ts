// A roll without bad places, used in part, as variables of an integer program: used or not, sets of each kind, stub
// kept or not. With E the last position used and R what is left, it costs fixed + perMm E when the stub is kept, and
// lostPerMm R more when it is not; all three follow from what the source charges. An old stub that is used up earns
// its worth, and then nothing of it may be long enough to keep.
import type { Rows } from '../bounding/master.ts';
import type { Layout, Model, Source } from '../model/model.ts';
import type { Entry } from '../solvers/lp.ts';
import type { MipDraft } from '../solvers/mipDraft.ts';

const MM_PER_M = 1000;

export interface PartRoll {
  source: number;
  /** Columns: the roll is used, its stub is kept, its lost stub's cost, sets per site. */
  used: number;
  kept: number;
  lost: number;
  sets: { site: number; stepMm: number; column: number; edge: number }[];
  /** Writes a layout of this source into a vector of values. */
  write(values: number[], layout: Layout): void;
}

/** One roll in part for every source that gives slots and has no bad places. */
export function addPartRolls(model: Model, draft: MipDraft, rows: Rows): PartRoll[] {
  return model.sources
    .filter((source) => isPlain(model, source) && model.stock[source.stock].count > 0)
    .map((source) => addPartRoll(draft, rows, source));
}

/** Slots by layouts, at positions that do not matter. */
export function isPlain(model: Model, source: Source): boolean {
  const own = source.paths.edges.filter((edge) => edge.site >= 0);
  return source.bad.length === 0 && own.length > 0 && model.sites[own[0].site].wholeRollOf === undefined;
}

function addPartRoll(draft: MipDraft, rows: Rows, source: Source): PartRoll {
  const { fixed, perMm, lostPerMm, longestKept } = chargeLines(source);
  const { startMm, lengthMm, index } = source;
  const room = draft.addRow(-Infinity, 0); // in m: used <= length x used, less the stub when it is kept
  const loss = draft.addRow(-Infinity, 0); // lostPerMm x metres left <= lost cost, unless kept
  const keepOnlyUsed = draft.addRow(-Infinity, 0);
  const useUp = longestKept >= startMm ? source.useUp : 0;
  // only where using it up earns something: used beyond what must be kept, in m, unless it is kept
  const beyond = useUp > 0 ? draft.addRow(0, Infinity) : undefined;
  const inBeyond = (mm: number): Entry[] => (beyond === undefined ? [] : [[beyond, mm / MM_PER_M]]);
  const ofRoll = rows.entriesOfThing('ofRoll', index);
  const used = draft.addColumn(
    fixed - useUp + perMm * startMm,
    [
      ...merged(ofRoll),
      ...inBeyond(startMm - longestKept - 1),
      [room, (startMm - lengthMm) / MM_PER_M],
      [loss, lostPerMm * (lengthMm - startMm)],
      [keepOnlyUsed, -1],
    ],
    1,
    true,
  );
  const keepable = longestKept >= startMm;
  const kept = draft.addColumn(
    useUp,
    [
      ...inBeyond(longestKept + 1),
      [room, (lengthMm - longestKept) / MM_PER_M],
      [loss, -lostPerMm * lengthMm],
      [keepOnlyUsed, 1],
    ],
    keepable ? 1 : 0,
    true,
  );
  const lost = draft.addColumn(1, [[loss, -1]], Infinity, false);
  const sets = stepsOf(source).map(({ site, stepMm, edge }) => {
    const ofSlot = rows.entriesOfThing('ofSlot', site);
    const entries: Entry[] = [...merged(ofSlot), [room, stepMm / MM_PER_M], [loss, -lostPerMm * stepMm]];
    entries.push(...inBeyond(stepMm));
    const most = Math.floor((lengthMm - startMm) / stepMm);
    return { site, stepMm, edge, column: draft.addColumn(perMm * stepMm, entries, most, true) };
  });
  const part: PartRoll = { source: index, used, kept, lost, sets, write: () => {} };
  part.write = (values, layout) => writeLayout(source, part, lostPerMm, values, layout);
  return part;
}

function merged(entries: Entry[]): Entry[] {
  const sum = new Map<number, number>();
  for (const [row, value] of entries) sum.set(row, (sum.get(row) ?? 0) + value);
  return [...sum];
}

/** One edge for each site: what a set takes off the roll. */
function stepsOf(source: Source): { site: number; stepMm: number; edge: number }[] {
  const steps = new Map<number, { site: number; stepMm: number; edge: number }>();
  const { edges, positionsMm } = source.paths;
  edges.forEach(({ from, to, site }, edge) => {
    if (site >= 0 && !steps.has(site))
      steps.set(site, { site, stepMm: positionsMm[to] - positionsMm[from], edge });
  });
  return [...steps.values()];
}

/** The straight lines that make up what the source charges. */
function chargeLines(source: Source): {
  fixed: number;
  perMm: number;
  lostPerMm: number;
  longestKept: number;
} {
  const { keepsStub, charge, lengthMm, lostPerMm } = source;
  const longestKept = longestKeptPosition(source);
  const atEnd = charge(lengthMm);
  if (!keepsStub(0)) {
    const perMm = atEnd - charge(lengthMm - 1);
    return { fixed: atEnd - perMm * lengthMm, perMm, lostPerMm: 0, longestKept: -1 };
  }
  const perMm = charge(1) - charge(0);
  return { fixed: charge(0), perMm, lostPerMm, longestKept };
}

function longestKeptPosition({ keepsStub, lengthMm }: Source): number {
  let low = -1;
  let high = lengthMm;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (keepsStub(middle)) low = middle;
    else high = middle;
  }
  return low;
}

function writeLayout(
  source: Source,
  part: PartRoll,
  lostPerMm: number,
  values: number[],
  layout: Layout,
): void {
  values[part.used] = 1;
  for (const e of layout.path) {
    const step = part.sets.find((item) => item.site === source.paths.edges[e].site);
    if (step) values[step.column]++;
  }
  if (source.keepsStub(layout.endMm)) values[part.kept] = 1;
  else values[part.lost] = lostPerMm * (source.lengthMm - layout.endMm);
}

/** The rolls used in part, as layouts: their sets one after the other. */
export function readPartRolls(
  model: Model,
  parts: PartRoll[],
  x: number[],
): { layout: Layout; times: number }[] | undefined {
  const found: { layout: Layout; times: number }[] = [];
  for (const part of parts) {
    const source = model.sources[part.source];
    const counts = part.sets.map((step) => Math.round(x[step.column]));
    if (counts.every((n) => n === 0)) continue;
    const layout = layoutWith(source, part, counts);
    if (!layout) return undefined;
    found.push({ layout, times: 1 });
  }
  return found;
}

/** The walk with these sets, in the order of sites. */
function layoutWith(source: Source, part: PartRoll, counts: number[]): Layout | undefined {
  const { edges, positionsMm } = source.paths;
  const byStart = new Map(edges.map((edge, e) => [`${edge.from}|${edge.site}`, e]));
  const path: number[] = [];
  let node = 0;
  for (const [i, n] of counts.entries()) {
    for (let k = 0; k < n; k++) {
      const e = byStart.get(`${node}|${part.sets[i].site}`);
      if (e === undefined) return undefined;
      path.push(e);
      node = edges[e].to;
    }
  }
  return { source: source.index, path, endMm: positionsMm[node] };
}
