// Settings of the knives written out, for problems on a coarse grid: every set of places where knives can stand across
// the web is a yes or no, and for every web every choice of its lanes for orders, fillers and waste is a column; HiGHS
// decides. Two runs share a setting exactly when all their knives stand at the same places, whatever the lanes are
// for: other products, wider webs, bad lanes beside which a lane goes to waste. A setting that is kept ready costs
// nothing. Written from the file format's words
// alone, apart from the planner. Each roll gives one set; no dates, knife moves, running costs or purchases.
import type { Filler, Order, Problem, Product, Slitter, StockRoll } from '../../../src/domain/problem.ts';
import { shortPricePerM2 } from '../../../src/domain/shortPrice.ts';
import { type Column, OPTIMAL, solveMip } from './highsMip.ts';

interface Setting {
  slitter: Slitter;
  /** Places of the knives in units of the grid, from left to right. */
  places: number[];
  entries: [number, number][];
}

interface Program {
  problem: Problem;
  unitUm: number;
  rows: { lower: number; upper: number }[];
  columns: Column[];
}

/** The proven least cost of any plan; undefined when HiGHS proved none in time. All widths are multiples of the unit. */
export function leastCostByPlaces(problem: Problem, unitUm: number, seconds = 60): number | undefined {
  const wanted: (Order | Filler)[] = [...problem.orders, ...problem.fillers];
  const rows = wanted.map((item) =>
    'maxRolls' in item && 'minRolls' in item
      ? { lower: item.minRolls as number, upper: item.maxRolls as number }
      : { lower: 0, upper: item.maxRolls },
  );
  const price = shortPricePerM2(problem);
  const columns: Column[] = problem.orders.map((order, row) => ({
    cost: (price * order.widthUm * order.lengthMm) / 1e9,
    upper: order.minRolls,
    whole: true,
    entries: [[row, 1]],
  }));
  const program = { problem, unitUm, rows, columns };
  const counted = rows.push({ lower: 0, upper: problem.maxPatterns }) - 1;
  const rollRow = new Map(
    problem.rolls.map((roll) => [roll, rows.push({ lower: 0, upper: roll.count }) - 1]),
  );
  for (const setting of settingsOf(program)) {
    const before = columns.length;
    for (const roll of problem.rolls) {
      const product = problem.products.find(({ id }) => id === roll.item) as Product;
      if (!product.slitters.includes(setting.slitter.id)) continue;
      for (const sets of setsOn(program, setting, roll)) addSet(program, setting, sets, rollRow.get(roll)!);
    }
    if (columns.length === before) continue;
    const { minutesPerSetup, costPerHour } = setting.slitter;
    const entries: [number, number][] = [[counted, 1], ...setting.entries];
    const cost = isKept(program, setting) ? 0 : (minutesPerSetup * costPerHour) / 60;
    columns.push({ cost, upper: 1, whole: true, entries });
  }
  const answer = solveMip(rows, columns, { seconds });
  return answer.status === OPTIMAL ? answer.cost : undefined;

  function addSet({ rows, columns }: Program, setting: Setting, set: ChosenSet, roll: number): void {
    const most = Math.max(...set.counts.map((n, k) => (n > 0 ? wanted[k]!.maxRolls : 0)));
    const row = rows.push({ lower: -Infinity, upper: 0 }) - 1;
    setting.entries.push([row, -most]);
    const made = set.counts.flatMap((n, k): [number, number][] => (n > 0 ? [[k, n]] : []));
    columns.push({ cost: set.cost, upper: most, whole: true, entries: [...made, [roll, 1], [row, 1]] });
  }
}

/** Where no roll has bad lanes one order of the lanes serves for all. */
const isOrdered = ({ problem }: Program) => problem.rolls.some((roll) => roll.defects.length > 0);

const lanesOf = (places: number[]) => places.slice(1).map((to, i) => to - places[i]!);

/** Whether the knives are kept ready so: just there, or with the same lanes in another order where that is all one. */
function isKept(program: Program, { slitter, places }: Setting): boolean {
  const inUnits = (kept: number[]) => kept.map((at) => at / program.unitUm);
  const keyOf = (at: number[]) =>
    isOrdered(program) ? at.join() : [at[0], ...lanesOf(at).sort((a, b) => a - b)].join();
  return (slitter.keptKnivesUm ?? []).some((kept) => keyOf(inUnits(kept)) === keyOf(places));
}

/** All choices of places. */
function settingsOf(program: Program): Setting[] {
  const { problem, unitUm } = program;
  const widest = Math.max(...problem.rolls.map((roll) => roll.widthUm / unitUm));
  const ordered = isOrdered(program);
  return problem.slitters.flatMap((slitter) => {
    const found = new Map<string, Setting>();
    for (let bits = 3; bits < 2 ** (widest + 1); bits++) {
      const places = Array.from({ length: widest + 1 }, (_, at) => at).filter((at) => bits & (1 << at));
      if (places.length < 2 || places.length - 1 > slitter.maxStrips) continue;
      const lanes = lanesOf(places);
      if (!ordered) lanes.sort((a, b) => a - b);
      const key = [places[0], ...lanes].join();
      if (!found.has(key)) found.set(key, { slitter, places, entries: [] });
    }
    return [...found.values()];
  });
}

interface ChosenSet {
  /** Strips of each order and filler. */
  counts: number[];
  cost: number;
}

/** Every choice of what the lanes are for on this web, within the slitter's limits. */
function setsOn({ problem, unitUm }: Program, { slitter, places }: Setting, roll: StockRoll): ChosenSet[] {
  const left = places[0]! * unitUm;
  const right = roll.widthUm - places.at(-1)! * unitUm;
  const { edgeTrimMinUm: least, edgeTrimMaxUm: most } = slitter;
  if (left < least.left || right < least.right || left > most.left || right > most.right) return [];
  const free = new Map<number, number>();
  places.slice(1).forEach((to, i) => {
    const [fromUm, toUm] = [places[i]! * unitUm, to * unitUm];
    if (roll.defects.some((bad) => bad.fromUm < toUm && bad.toUm > fromUm)) return;
    free.set(toUm - fromUm, (free.get(toUm - fromUm) ?? 0) + 1);
  });
  const lanes = places.length - 1;
  const wanted = [...problem.orders, ...problem.fillers];
  const found: ChosenSet[] = [];
  const walk = (k: number, counts: number[]) => {
    if (k < wanted.length) {
      const item = wanted[k]!;
      const taken = wanted.reduce(
        (n, other, j) => n + (other.widthUm === item.widthUm ? (counts[j] ?? 0) : 0),
        0,
      );
      const room = item.product === roll.item ? (free.get(item.widthUm) ?? 0) - taken : 0;
      for (let n = 0; n <= Math.min(room, item.maxRolls); n++) walk(k + 1, [...counts, n]);
      return;
    }
    const strips = counts.reduce((sum, n) => sum + n, 0);
    const widths = new Set(wanted.filter((_, j) => counts[j]! > 0).map((item) => item.widthUm));
    if (strips === 0 || lanes - strips > slitter.maxWasteStrips || widths.size > slitter.maxDistinctWidths)
      return;
    const value = problem.fillers.reduce(
      (sum, filler, f) => sum + counts[problem.orders.length + f]! * filler.valuePerRoll,
      0,
    );
    found.push({ counts, cost: roll.costPerRoll - value });
  };
  walk(0, []);
  return found;
}
