// Rolls with bad places as one integer program, written from the file format's words apart from the planner: across the
// web every choice of strips that lies clear of the lanes, found on a grid; along the roll a flow from position to
// position on a grid, one arc for each set that can begin there. Sets may begin anywhere on the grid, so nothing is
// assumed about where they ought to. Every measure of the problem must lie on the grid: 5 mm across, 5 m along.
// Covers: trims, strips, distinct widths, waste strips, lanes, flags, splices and their price, lead-in, tails, stubs, what
// it is worth to use old ones up, coating of base film, fillers, short orders, running costs. Not set-ups, dates, offers.
import type { Defect, Problem, Product, Slitter, StockRoll } from '../../../src/domain/problem.ts';
import { shortPricePerM2 } from '../../../src/domain/shortPrice.ts';
import { mm } from '../../../src/domain/units.ts';
import type { Column } from './highsMip.ts';
import { OPTIMAL, solveMip } from './highsMip.ts';

const MM = 5000; // grid across, um
const M = 5000; // grid along, mm

interface Item {
  product: string;
  widthUm: number;
  lengthMm: number;
  least: number;
  most: number;
  value: number;
}

interface Program {
  items: Item[];
  rows: { lower: number; upper: number }[];
  columns: Column[];
  /** Row of the sets cut less the sets laid out: by slitter, product, width, length and lanes. */
  setRows: Map<string, number>;
}

/** The proven least cost; undefined when HiGHS did not prove one in time. */
export function leastCostWithBadPlaces(problem: Problem, seconds = 30): number | undefined {
  const items: Item[] = [
    ...problem.orders.map((o) => ({ ...o, least: o.minRolls, most: o.maxRolls, value: 0 })),
    ...problem.fillers.map((f) => ({ ...f, least: 0, most: f.maxRolls, value: f.valuePerRoll })),
  ];
  const rows = items.map(({ least, most }) => ({ lower: least, upper: most }));
  const price = shortPricePerM2(problem);
  const columns: Column[] = problem.orders.map((order, row) => ({
    cost: (price * order.widthUm * order.lengthMm) / 1e9,
    upper: order.minRolls,
    whole: true,
    entries: [[row, 1]],
  }));
  const program = { items, rows, columns, setRows: new Map<string, number>() };
  for (const roll of problem.rolls) {
    const stockRow = rows.push({ lower: 0, upper: roll.count }) - 1;
    for (const product of problem.products) {
      const serves =
        roll.kind === 'base' ? product.coating?.grades.includes(roll.item) : roll.item === product.id;
      for (const slitter of problem.slitters)
        if (serves && product.slitters.includes(slitter.id))
          addRoll(problem, roll, slitter, product, stockRow, program);
    }
  }
  const answer = solveMip(rows, columns, { seconds });
  return answer.status === OPTIMAL ? answer.cost : undefined;
}

/**
 * The flow along one roll: node p is the metre p of the web, a second one stands for the end of a set there: no roll
 * ends but behind a set. Base film is coated from its outer end and then slit from
 * the other end: laid out here from the coater's end, so that each set lies behind its tail.
 */
function addRoll(
  problem: Problem,
  roll: StockRoll,
  slitter: Slitter,
  product: Product,
  stockRow: number,
  program: Program,
): void {
  const { rows, columns, items } = program;
  const isBase = roll.kind === 'base';
  const lossMm = isBase ? (product.coating?.lossMm ?? 0) : 0;
  const webMm = roll.lengthMm - lossMm;
  const beginMm = isBase ? 0 : slitter.leadInMm;
  const endMm = isBase ? webMm - slitter.leadInMm : webMm;
  const bad = roll.defects.map((d) => ({ ...d, fromMm: mm(d.fromMm - lossMm), toMm: mm(d.toMm - lossMm) }));
  const node = new Map<number, number>();
  const behindSet = new Map<number, number>();
  for (let at = beginMm; at <= endMm; at += M) {
    node.set(at, rows.push({ lower: 0, upper: 0 }) - 1);
    behindSet.set(at, rows.push({ lower: 0, upper: 0 }) - 1);
  }
  if (node.size === 0) return;
  const arc = (cost: number, entries: [number, number][]) =>
    columns.push({ cost, upper: roll.count, whole: true, entries });
  arc(0, [
    [stockRow, 1],
    [node.get(beginMm)!, 1],
  ]);
  const lengths = new Set(items.filter(({ product: id }) => id === product.id).map((item) => item.lengthMm));
  for (const [at, row] of node) {
    const next = node.get(at + M);
    if (next !== undefined)
      arc(0, [
        [row, -1],
        [next, 1],
      ]);
    const usedMm = isBase ? at + slitter.leadInMm : at;
    const ended = behindSet.get(at)!;
    arc(chargeOf(problem, roll, slitter, product, usedMm), [[ended, -1]]);
    arc(0, [
      [ended, -1],
      [row, 1],
    ]);
    for (const lengthMm of lengths) {
      const from = isBase ? at + slitter.tailMm : at;
      const set = setFrom(from, lengthMm, bad, roll.widthUm, product.maxSplicesPerRoll);
      const to = set && behindSet.get(isBase ? set.endMm : set.endMm + slitter.tailMm);
      const cut =
        to !== undefined &&
        setRow(program, { slitter, product, widthUm: roll.widthUm, lengthMm }, set!.lanes);
      if (cut)
        arc(set!.splices * problem.costs.perSplice, [
          [row, -1],
          [to, 1],
          [cut, -1],
        ]);
    }
  }
}

/** Metre by metre from here until the finished length is full; bad metres over the whole width are left out. */
function setFrom(fromMm: number, lengthMm: number, bad: Defect[], widthUm: number, maxSplices: number) {
  const across = (d: Defect) => d.fromUm === 0 && d.toUm === widthUm;
  const badAt = (at: number) => bad.some((d) => across(d) && d.fromMm <= at && at < d.toMm);
  let at = fromMm;
  let splices = 0;
  for (let good = 0; good < lengthMm; at += M) {
    if (!badAt(at)) good += M;
    else if (at === fromMm || !badAt(at - M)) splices++;
  }
  if (splices > maxSplices) return undefined;
  const lanes = bad.filter((d) => !across(d) && d.fromMm < at && d.toMm > fromMm);
  return { endMm: at, lanes, splices };
}

function chargeOf(problem: Problem, roll: StockRoll, slitter: Slitter, product: Product, usedMm: number) {
  const free = product.coating?.coatFreeEdgeUm ?? { left: 0, right: 0 };
  const coating = roll.kind === 'base' ? product.coating : undefined;
  const coatingCost = ((coating?.costPerM2 ?? 0) * (roll.widthUm - free.left - free.right) * usedMm) / 1e9;
  const leftMm = roll.lengthMm - (coating?.lossMm ?? 0) - usedMm;
  const ordered = problem.orders.filter((order) => order.product === product.id);
  const fillers = problem.fillers.filter((filler) => filler.product === product.id);
  const shortest = Math.min(...(ordered.length > 0 ? ordered : fillers).map((item) => item.lengthMm));
  const narrowest = Math.min(...[...ordered, ...fillers].map((item) => item.widthUm));
  const leastMm = problem.costs.stubKeepMinMm ?? shortest + slitter.leadInMm;
  const [left, right] = trims(slitter, product);
  const kept = leftMm > 0 && leftMm >= leastMm && roll.widthUm >= narrowest + left + right;
  const usedUp = roll.kind === 'stub' ? Math.min(problem.costs.stubUseUp, roll.costPerRoll) : 0;
  if (!kept) return roll.costPerRoll - usedUp + coatingCost;
  const holding = (problem.costs.holdingPerM2 * roll.widthUm * leftMm) / 1e9;
  return (roll.costPerRoll * (roll.lengthMm - leftMm)) / roll.lengthMm + holding + coatingCost;
}

function trims(slitter: Slitter, product: Product): [number, number] {
  const free = product.coating?.coatFreeEdgeUm ?? { left: 0, right: 0 };
  return [Math.max(slitter.edgeTrimMinUm.left, free.left), Math.max(slitter.edgeTrimMinUm.right, free.right)];
}

interface Web {
  slitter: Slitter;
  product: Product;
  widthUm: number;
  lengthMm: number;
}

/** The row of the sets on this web beside these lanes, with a column for each of them; 0 when there are none. */
function setRow(program: Program, web: Web, lanes: Defect[]): number {
  const marks = lanes.map(({ fromUm, toUm }) => `${fromUm}-${toUm}`).sort();
  const key = [web.slitter.id, web.product.id, web.widthUm, web.lengthMm, ...new Set(marks)].join(' ');
  const known = program.setRows.get(key);
  if (known !== undefined) return known;
  const sets = setsAcross(program.items, web, lanes);
  const row = sets.length === 0 ? 0 : program.rows.push({ lower: 0, upper: 0 }) - 1;
  program.setRows.set(key, row);
  for (const counts of sets) {
    const value = [...counts].reduce((sum, [item, n]) => sum + n * program.items[item]!.value, 0);
    program.columns.push({
      cost: setCost(web.slitter, web.lengthMm) - value,
      upper: Infinity,
      whole: true,
      entries: [[row, 1], ...counts],
    });
  }
  return row;
}

interface Partial {
  counts: Map<number, number>;
  waste: number;
  inWaste: boolean;
}

/** All strips that can lie side by side, by walking from the left trim over the grid: strips, and steps of waste. */
function setsAcross(items: Item[], { slitter, product, widthUm, lengthMm }: Web, lanes: Defect[]) {
  const [left, right] = trims(slitter, product);
  const most = slitter.edgeTrimMaxUm;
  if (widthUm > slitter.maxWebWidthUm || left > most.left || right > most.right) return [];
  const isFree = (from: number, to: number) => !lanes.some((lane) => lane.fromUm < to && from < lane.toUm);
  const own = items.flatMap((item, index) =>
    item.product === product.id && item.lengthMm === lengthMm && item.widthUm >= slitter.minStripWidthUm
      ? [{ ...item, index }]
      : [],
  );
  const reached = new Map<number, Map<string, Partial>>();
  const put = (at: number, partial: Partial) => {
    const strips = [...partial.counts.values()].reduce((sum, n) => sum + n, 0);
    const widths = new Set([...partial.counts.keys()].map((index) => items[index]!.widthUm));
    if (at > widthUm - right || partial.waste > slitter.maxWasteStrips) return;
    if (strips + partial.waste > slitter.maxStrips || widths.size > slitter.maxDistinctWidths) return;
    const here = reached.get(at) ?? new Map<string, Partial>();
    const key = `${[...partial.counts].sort((a, b) => a[0] - b[0]).join(';')}|${partial.waste}|${partial.inWaste}`;
    here.set(key, partial);
    reached.set(at, here);
  };
  for (let trim = left; trim <= Math.min(most.left, widthUm); trim += MM)
    put(trim, { counts: new Map(), waste: 0, inWaste: false });
  const sets = new Map<string, [number, number][]>();
  for (let at = left; at <= widthUm - right; at += MM) {
    for (const partial of reached.get(at)?.values() ?? []) {
      put(at + MM, { ...partial, inWaste: true, waste: partial.waste + (partial.inWaste ? 0 : 1) });
      for (const { index, widthUm: width, most: wanted } of own) {
        const n = (partial.counts.get(index) ?? 0) + 1;
        if (n > wanted || !isFree(at, at + width)) continue;
        put(at + width, {
          counts: new Map(partial.counts).set(index, n),
          waste: partial.waste,
          inWaste: false,
        });
      }
      if (partial.counts.size > 0 && widthUm - at <= most.right) {
        const counts = [...partial.counts].sort((a, b) => a[0] - b[0]);
        sets.set(counts.join(';'), counts);
      }
    }
  }
  return [...sets.values()];
}

function setCost(slitter: Slitter, lengthMm: number): number {
  const metres = lengthMm / 1000;
  const running = slitter.metresPerMinute === Infinity ? 0 : metres / slitter.metresPerMinute;
  return ((running + slitter.minutesPerSetChange) * slitter.costPerHour) / 60;
}
