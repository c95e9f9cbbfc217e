// Every choice of strips that lies side by side on a web, for the models that write everything out: within the stretches
// that bad lanes leave free, no more of a width than is wanted.

/** Widths of the stretches of [from, to] that no lane touches. */
export function freeStretches(from: number, to: number, lanes: [number, number][]): number[] {
  const found: number[] = [];
  let at = from;
  for (const [begin, end] of [...lanes].sort((a, b) => a[0] - b[0])) {
    if (begin > at) found.push(Math.min(begin, to) - at);
    at = Math.max(at, end);
  }
  if (to > at) found.push(to - at);
  return found;
}

export interface Choice {
  /** Strips of each item. */
  counts: number[];
  /** Bad lanes that lie between the strips, as few as can be: each has a waste strip of its own. */
  between: number;
}

/** Choices of at least one strip and at most `mostStrips`. */
export function choices(
  items: { widthUm: number; most: number }[],
  stretches: number[],
  mostStrips: number,
): Choice[] {
  let found = new Map<string, Choice>();
  for (const width of stretches) {
    const next = new Map(found);
    const before = [undefined, ...found.values()];
    for (const own of withinOne(items, width, mostStrips)) {
      for (const other of before) {
        const counts = own.map((n, k) => n + (other?.counts[k] ?? 0));
        if (counts.some((n, k) => n > items[k]!.most)) continue;
        if (counts.reduce((sum, n) => sum + n, 0) > mostStrips) continue;
        const between = other ? other.between + 1 : 0;
        const known = next.get(counts.join());
        if (!known || between < known.between) next.set(counts.join(), { counts, between });
      }
    }
    found = next;
  }
  return [...found.values()];
}

function withinOne(
  items: { widthUm: number; most: number }[],
  width: number,
  mostStrips: number,
): number[][] {
  const found: number[][] = [];
  const walk = (counts: number[], room: number, strips: number) => {
    const item = items[counts.length];
    if (!item) {
      if (counts.some((n) => n > 0)) found.push(counts);
      return;
    }
    for (let n = 0; n * item.widthUm <= room && n <= Math.min(item.most, strips); n++)
      walk([...counts, n], room - n * item.widthUm, strips - n);
  };
  walk([], width, mostStrips);
  return found;
}

/** Waste strips: one at each bad lane between the strips, else one where the trims may not take what is left. */
export const fewestWaste = (between: number, tooWide: boolean): number =>
  between > 0 ? between : tooWide ? 1 : 0;

/**
 * The choices to which no strip could be added that costs nothing where it goes to waste (`free`): such a fuller one
 * serves for all that it holds.
 */
export function onlyFull(all: Choice[], free: boolean[]): Choice[] {
  const known = new Set(all.map(({ counts }) => counts.join()));
  return all.filter(
    ({ counts }) =>
      !free.some((isFree, k) => isFree && known.has(counts.map((n, j) => (j === k ? n + 1 : n)).join())),
  );
}
