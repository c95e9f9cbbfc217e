// The whole planning problem as one integer program, for problems small enough to write out: every set that can be cut
// across every web, every way of dividing every roll along its length, enumerated; HiGHS decides how many of each.
// Written from the file format's words alone, apart from the planner. Covers: strips, distinct widths, waste strips,
// trims, least width, web width, diameter, several stock widths, counts and costs, finished lengths sharing a roll,
// lead-in, tails, stubs, quantity tolerance, short orders, fillers, running costs, coating, purchases with minimum orders,
// set-ups and the limit of patterns: a yes or no for every choice of strips on a slitter, whichever webs they are cut
// from (the left trim can be the same for all), strips slit out as waste where waste strips have no limit; bad lanes
// that run through whole rolls; lateness of film that is ready too late, on slitters that work round the clock.
// Not other bad places, waiting in line, knife moves; with set-ups no largest trims.
import type { Offer, Order, Problem, Product, Slitter, StockRoll } from '../../../src/domain/problem.ts';
import { shortPricePerM2 } from '../../../src/domain/shortPrice.ts';
import { daysBetween, type Um } from '../../../src/domain/units.ts';
import type { Column } from './highsMip.ts';
import { OPTIMAL, solveMip } from './highsMip.ts';
import { type Choice, choices, fewestWaste, freeStretches, onlyFull } from './stripChoices.ts';

interface Wanted {
  product: string;
  widthUm: number;
  lengthMm: number;
  least: number;
  most: number;
  value: number;
  order: Order | undefined;
}

/** Sets of these strips, by place in the orders and then the fillers, cut from rolls like this one. */
export interface ReferenceSets {
  roll: StockRoll;
  slitter: string;
  lengthMm: number;
  strips: number[];
  times: number;
}

export interface ReferenceAnswer {
  /** The optimum; undefined when HiGHS did not prove one in time. */
  cost: number | undefined;
  /** The cheapest plan that HiGHS found, proved or not. */
  found: number | undefined;
  columns: number;
  /** What the cheapest plan found cuts. */
  sets: ReferenceSets[];
  /** Processor time of HiGHS until it had that plan. */
  foundAfter: number;
}

const MOST_COLUMNS = 60_000;

/** The proven least cost of any plan of the problem. Throws when the problem is too large to write out. */
export function leastCost(problem: Problem, seconds = 20): ReferenceAnswer {
  const wanted = wantedRolls(problem);
  const rows = wanted.map(({ least, most }) => ({ lower: least, upper: most }));
  const columns: Column[] = [...shortColumns(problem), ...wasteColumns(problem, wanted)];
  const setRow = new Map<string, number>();
  const cut: Program['cut'] = [];
  const wastes = wasteIsFree(problem);
  const knives = openKnives(problem, rows);
  const films: Film[] = [
    ...problem.rolls.map((roll) => {
      const row = rows.push({ lower: 0, upper: roll.count }) - 1;
      return { roll, taken: [[row, 1]] as [number, number][], isBought: false };
    }),
    ...problem.offers.flatMap((offer) => offeredFilms(problem, offer, rows, columns)),
  ];
  for (const { roll, taken, isBought } of films) {
    for (const product of problem.products.filter((candidate) => servedBy(roll, candidate))) {
      for (const slitter of problem.slitters.filter(({ id }) => product.slitters.includes(id)))
        addRoll(problem, wanted, roll, slitter, product, {
          ...{ rows, columns, setRow, cut, wastes, taken, isBought, knives },
        });
    }
  }
  if (columns.length > MOST_COLUMNS) throw new Error(`${columns.length} columns are too many to write out`);
  const answer = solveMip(rows, columns, { seconds });
  const found = Math.abs(answer.cost) < 1e15 ? answer.cost : undefined;
  const sets = cut.flatMap(({ column, ...set }) => {
    const times = found === undefined ? 0 : Math.round(answer.x[column] ?? 0);
    return times > 0 ? [{ ...set, times }] : [];
  });
  const { foundAfter } = answer;
  const cost = answer.status === OPTIMAL ? answer.cost : undefined;
  return { cost, found, columns: columns.length, sets, foundAfter };
}

interface Film {
  roll: StockRoll;
  /** What one roll enters: the rolls there are, or the rows of its offer. */
  taken: [number, number][];
  /** Paid for whole. */
  isBought: boolean;
}

const servedBy = (roll: StockRoll, product: Product) =>
  roll.kind === 'base' ? product.coating?.grades.includes(roll.item) : roll.item === product.id;

/** Every offered width as a roll; rows and columns of the minimum order; rolls bought and never cut, paid in full. */
function offeredFilms(problem: Problem, offer: Offer, rows: Program['rows'], columns: Column[]): Film[] {
  const most = problem.orders.reduce((sum, order) => sum + order.maxRolls, 0) + 20;
  const least = rows.push({ lower: 0, upper: Infinity }) - 1;
  const open = rows.push({ lower: -Infinity, upper: 0 }) - 1;
  columns.push({
    cost: 0,
    upper: 1,
    whole: true,
    entries: [
      [least, -offer.minOrderKg],
      [open, -most],
    ],
  });
  const grade = problem.grades.find(({ id }) => id === offer.grade)!;
  const films: Film[] = [];
  for (let widthUm = offer.widthMinUm as number; widthUm <= offer.widthMaxUm; widthUm += offer.widthStepUm) {
    // um x mm x um x g/cm3 = 1e-12 kg
    const kg = (widthUm * offer.rollLengthMm * grade.thicknessUm * grade.densityGPerCm3) / 1e12;
    const taken: [number, number][] = [
      [least, kg],
      [open, 1],
    ];
    const costPerRoll = kg * offer.pricePerKg;
    columns.push({ cost: costPerRoll, upper: most, whole: true, entries: taken });
    const { id, grade: item, rollLengthMm: lengthMm } = offer;
    films.push({
      taken,
      isBought: true,
      roll: {
        id,
        kind: 'base',
        item,
        widthUm: widthUm as Um,
        lengthMm,
        count: most,
        costPerRoll,
        defects: [],
        readyOn: undefined,
        useBy: undefined,
      },
    });
    if (offer.widthMinUm === offer.widthMaxUm) break;
  }
  return films;
}

interface Program {
  rows: { lower: number; upper: number }[];
  columns: Column[];
  /** One row for each slitter, product, web width and finished length: sets cut there less sets laid out there. */
  setRow: Map<string, number>;
  /** What is cut by the columns that are sets. */
  cut: (Omit<ReferenceSets, 'times'> & { column: number })[];
  /** Whether strips may be slit out as waste without limit. */
  wastes: boolean;
  taken: [number, number][];
  isBought: boolean;
  /** undefined where set-ups cost nothing and patterns have no limit. */
  knives: Knives | undefined;
}

interface Knives {
  /** The column that is 1 when the knives are set so, by slitter and strips. */
  setUp: Map<string, Column>;
  /** The row that counts patterns. */
  counted: number;
}

function openKnives(problem: Problem, rows: Program['rows']): Knives | undefined {
  if (problem.maxPatterns === Infinity && problem.slitters.every((slitter) => setupCost(slitter) === 0))
    return undefined;
  if (problem.slitters.some(({ edgeTrimMaxUm: { left, right } }) => left + right < Infinity))
    throw new Error('with set-ups the model has no largest trims');
  return { setUp: new Map(), counted: rows.push({ lower: 0, upper: problem.maxPatterns }) - 1 };
}

const setupCost = ({ minutesPerSetup, costPerHour }: Slitter) => (minutesPerSetup * costPerHour) / 60;

/** Sets of these strips only when the knives are set so: sets <= most x set-up. */
function setUpEntry(
  program: Program,
  slitter: Slitter,
  widths: number[],
  most: number,
  lanes: number[],
): [number, number][] {
  const { knives, rows, columns } = program;
  if (!knives) return [];
  const key = [slitter.id, ...widths.sort((a, b) => a - b), 'lanes', ...lanes].join(' ');
  const row = rows.push({ lower: -Infinity, upper: 0 }) - 1;
  const known = knives.setUp.get(key);
  if (known) known.entries.push([row, -most]);
  else {
    const entries: [number, number][] = [
      [knives.counted, 1],
      [row, -most],
    ];
    const column = { cost: setupCost(slitter), upper: 1, whole: true, entries };
    knives.setUp.set(key, column);
    columns.push(column);
  }
  return [[row, 1]];
}

const wasteIsFree = ({ slitters }: Problem) =>
  slitters.every(({ maxWasteStrips }) => maxWasteStrips === Infinity);

/** Strips beyond what may be made go to waste: so the knives need not be set anew for them. */
function wasteColumns(problem: Problem, wanted: Wanted[]): Column[] {
  if (!wasteIsFree(problem)) return [];
  return wanted.map(({ value }, row) => ({
    cost: value,
    upper: Infinity,
    whole: true,
    entries: [[row, -1]],
  }));
}

function wantedRolls(problem: Problem): Wanted[] {
  const orders = problem.orders.map((order) => {
    const { product, widthUm, lengthMm, minRolls, maxRolls } = order;
    return {
      product,
      widthUm,
      lengthMm,
      least: minRolls,
      most: maxRolls,
      value: 0,
      order,
    };
  });
  const fillers = problem.fillers.map(({ product, widthUm, lengthMm, maxRolls, valuePerRoll }) => ({
    order: undefined,
    product,
    widthUm,
    lengthMm,
    least: 0,
    most: maxRolls,
    value: valuePerRoll,
  }));
  return [...orders, ...fillers];
}

/** Buying one's way out of a roll; only up to the least quantity, since it earns nothing beyond. */
function shortColumns(problem: Problem): Column[] {
  const price = shortPricePerM2(problem);
  return problem.orders.map((order, row) => ({
    cost: (price * order.widthUm * order.lengthMm) / 1e9,
    upper: order.minRolls,
    whole: true,
    entries: [[row, 1]],
  }));
}

function addRoll(
  problem: Problem,
  wanted: Wanted[],
  roll: StockRoll,
  slitter: Slitter,
  product: Product,
  program: Program,
): void {
  if (roll.widthUm > slitter.maxWebWidthUm) return;
  const lengths = [
    ...new Set(wanted.filter((item) => item.product === product.id).map((item) => item.lengthMm)),
  ];
  const possible = lengths.filter((lengthMm) => fits(slitter, product, lengthMm));
  const rowsOf = possible.map((lengthMm) => {
    const stretches = stretchesOf(roll, slitter, product);
    const late = wanted.map(({ order }) => lateCost(problem, order, roll, product));
    const key = [slitter.id, product.id, roll.widthUm, lengthMm, stretches, late].join(' ');
    const known = program.setRow.get(key);
    if (known !== undefined) return known;
    const row = program.rows.push({ lower: 0, upper: 0 }) - 1;
    program.setRow.set(key, row);
    addSets(wanted, { slitter, product, roll, lengthMm, row, stretches, late }, program);
    return row;
  });
  const share = roll.costPerRoll / roll.lengthMm;
  const holding = (problem.costs.holdingPerM2 * roll.widthUm) / 1e9;
  if (roll.count === 1 && !program.isBought && share >= holding && roll.kind !== 'stub') {
    addSingleRoll({ problem, roll, slitter, product, share, holding }, possible, rowsOf, program);
    return;
  }
  for (const counts of divisions(possible, slitter, roll.lengthMm - lossOf(roll, product))) {
    const used = counts.reduce(
      (sum, count, k) => sum + count * (possible[k]! + slitter.tailMm),
      slitter.leadInMm as number,
    );
    program.columns.push({
      cost: program.isBought
        ? roll.costPerRoll + coatingCost(roll, product, used)
        : rollCharge(problem, roll, slitter, product, used),
      upper: roll.count,
      whole: true,
      entries: [...program.taken, ...counts.map((count, k): [number, number] => [rowsOf[k]!, -count])],
    });
  }
}

interface SingleRoll {
  problem: Problem;
  roll: StockRoll;
  slitter: Slitter;
  product: Product;
  /** Cost of the roll and of holding what is kept of it, per mm. */
  share: number;
  holding: number;
}

/** A roll of which there is one, in few variables: used or not, sets of each length, a stub kept or not and its length. */
function addSingleRoll(one: SingleRoll, lengths: number[], setRows: number[], program: Program): void {
  const { problem, roll, slitter, product, share, holding } = one;
  const { rows, columns, taken } = program;
  const lossMm = lossOf(roll, product);
  const room = rows.push({ lower: -Infinity, upper: 0 }) - 1; // used + kept <= length, in m
  const keeps = rows.push({ lower: -Infinity, upper: 0 }) - 1; // kept <= length, only where one is kept
  const long = rows.push({ lower: 0, upper: Infinity }) - 1; // kept >= the least to keep
  const onlyUsed = rows.push({ lower: -Infinity, upper: 0 }) - 1;
  const leastMm = leastKept(problem, roll, slitter, product);
  const whole = true;
  columns.push({
    cost: roll.costPerRoll + coatingCost(roll, product, slitter.leadInMm),
    upper: 1,
    whole,
    entries: [...taken, [room, (lossMm + slitter.leadInMm - roll.lengthMm) / 1000], [onlyUsed, -1]],
  });
  columns.push({
    cost: 0,
    upper: leastMm === undefined ? 0 : 1,
    whole,
    entries: [
      [keeps, -roll.lengthMm / 1000],
      [long, -Math.max(1, leastMm ?? 0) / 1000],
      [onlyUsed, 1],
    ],
  });
  const ofKept: [number, number][] = [room, keeps, long].map((row) => [row, 1]);
  columns.push({ cost: -1000 * (share - holding), upper: Infinity, whole: false, entries: ofKept });
  lengths.forEach((lengthMm, k) => {
    const stepMm = lengthMm + slitter.tailMm;
    const most = Math.floor((roll.lengthMm - lossMm - slitter.leadInMm) / stepMm);
    if (most < 1) return;
    columns.push({
      cost: coatingCost(roll, product, stepMm),
      upper: most,
      whole,
      entries: [
        [setRows[k]!, -1],
        [room, stepMm / 1000],
      ],
    });
  });
}

/** The shortest stub that is kept; undefined when the roll is too narrow for anything that is sold. */
function leastKept(
  problem: Problem,
  roll: StockRoll,
  slitter: Slitter,
  product: Product,
): number | undefined {
  const ours = problem.orders.filter((order) => order.product === product.id);
  const sold = [...ours, ...problem.fillers.filter((filler) => filler.product === product.id)];
  const shortest = Math.min(...(ours.length ? ours : sold).map(({ lengthMm }) => lengthMm));
  const [left, right] = trims(slitter, product);
  const leastUm = Math.min(...sold.map(({ widthUm }) => widthUm)) + left + right;
  return roll.widthUm < leastUm ? undefined : (problem.costs.stubKeepMinMm ?? shortest + slitter.leadInMm);
}

function fits(slitter: Slitter, product: Product, lengthMm: number): boolean {
  if (product.layerThicknessUm === undefined || product.coreOutsideDiameterUm === undefined) return true;
  // Cross-section of the wound film: layer x length, all in mm.
  const film = (product.layerThicknessUm / 1000) * lengthMm;
  const core = product.coreOutsideDiameterUm / 1000;
  return Math.sqrt(core ** 2 + (4 * film) / Math.PI) <= slitter.maxRollDiameterUm / 1000 + 1e-9;
}

/** Every multiset of sets that fits along the roll, none empty. */
function divisions(lengths: number[], slitter: Slitter, rollMm: number): number[][] {
  const found: number[][] = [];
  const walk = (k: number, counts: number[], usedMm: number) => {
    if (k === lengths.length) {
      if (counts.some((count) => count > 0)) found.push(counts);
      return;
    }
    for (let count = 0; usedMm + count * (lengths[k]! + slitter.tailMm) <= rollMm; count++)
      walk(k + 1, [...counts, count], usedMm + count * (lengths[k]! + slitter.tailMm));
  };
  walk(0, [], slitter.leadInMm);
  return found;
}

/** Charged by the length used; the rest at its share again when it is lost, at holding cost when it is kept. */
function rollCharge(
  problem: Problem,
  roll: StockRoll,
  slitter: Slitter,
  product: Product,
  usedMm: number,
): number {
  const lossMm = lossOf(roll, product);
  const leftMm = roll.lengthMm - lossMm - usedMm;
  const coating = coatingCost(roll, product, usedMm);
  const leastMm = leastKept(problem, roll, slitter, product);
  if (leastMm === undefined || leftMm < leastMm || leftMm === 0) return roll.costPerRoll + coating;
  const holding = (problem.costs.holdingPerM2 * leftMm * roll.widthUm) / 1e9;
  return (roll.costPerRoll * (lossMm + usedMm)) / roll.lengthMm + holding + coating;
}

const lossOf = ({ kind }: StockRoll, { coating }: Product) => (kind === 'base' ? (coating?.lossMm ?? 0) : 0);

function coatingCost({ kind, widthUm }: StockRoll, { coating }: Product, usedMm: number): number {
  if (kind !== 'base' || !coating) return 0;
  const { left, right } = coating.coatFreeEdgeUm;
  return (coating.costPerM2 * (widthUm - left - right) * usedMm) / 1e9;
}

function trims(slitter: Slitter, product: Product): [number, number] {
  const free = product.coating?.coatFreeEdgeUm ?? { left: 0, right: 0 };
  return [Math.max(slitter.edgeTrimMinUm.left, free.left), Math.max(slitter.edgeTrimMinUm.right, free.right)];
}

interface Web {
  slitter: Slitter;
  product: Product;
  roll: StockRoll;
  lengthMm: number;
  row: number;
  /** Width of each stretch between trims and bad lanes. */
  stretches: number[];
  /** What each strip costs by lateness. */
  late: number[];
}

function stretchesOf(roll: StockRoll, slitter: Slitter, product: Product): number[] {
  const [left, right] = trims(slitter, product);
  const lanes = roll.defects.map(({ fromMm, toMm, fromUm, toUm }) => {
    if (fromMm > 0 || toMm < roll.lengthMm) throw new Error('bad places end along the roll');
    return [fromUm, toUm] as [number, number];
  });
  return freeStretches(left, roll.widthUm - right, lanes);
}

/** Cost of a strip that is cut after its order's due day because its film is not there before. */
function lateCost(problem: Problem, order: Order | undefined, roll: StockRoll, { coating }: Product): number {
  const { planOn, costs } = problem;
  if (!order?.dueOn || !planOn) return 0;
  const wait = roll.readyOn ? Math.max(0, daysBetween(planOn, roll.readyOn)) : 0;
  const ready = wait + (roll.kind === 'base' ? (coating?.leadDays ?? 0) : 0);
  return costs.perLateRollDay * Math.max(0, ready - daysBetween(planOn, order.dueOn));
}

/** Every choice of strips that can be cut side by side on this web. */
function addSets(wanted: Wanted[], web: Web, program: Program): void {
  const { slitter, product, roll, lengthMm, row, stretches, late } = web;
  const [left, right] = trims(slitter, product);
  const most = slitter.edgeTrimMaxUm;
  if (left > most.left || right > most.right) return;
  const items = wanted
    .map((item, index) => ({ ...item, index }))
    .filter(
      (item) =>
        item.product === product.id && item.lengthMm === lengthMm && item.widthUm >= slitter.minStripWidthUm,
    );
  const lanes = stretches.length > 1 ? [roll.widthUm, ...stretches] : [];
  const isAllowed = ({ counts, between }: Choice) => {
    const strips = counts.reduce((sum, count) => sum + count, 0);
    const used = counts.reduce((sum, count, k) => sum + count * items[k]!.widthUm, 0);
    const widths = new Set(items.filter((_, k) => counts[k]! > 0).map((item) => item.widthUm));
    const waste = fewestWaste(between, roll.widthUm - used > most.left + most.right);
    const fitting = strips + waste <= slitter.maxStrips && waste <= slitter.maxWasteStrips;
    return fitting && widths.size <= slitter.maxDistinctWidths;
  };
  const allowed = choices(items, stretches, slitter.maxStrips).filter(isAllowed);
  const free = items.map(({ index }) => program.wastes && late[index] === 0 && stretches.length === 1);
  for (const { counts } of onlyFull(allowed, free)) {
    const value = counts.reduce((sum, n, k) => sum + n * (items[k]!.value - late[items[k]!.index]!), 0);
    const useful = counts.map((count, k) => (count > 0 ? Math.ceil(items[k]!.most / count) : 0));
    const cut = items.flatMap((item, k) => new Array<number>(counts[k]!).fill(item.widthUm));
    const stripsOf = new Array<number>(wanted.length).fill(0);
    counts.forEach((count, k) => {
      stripsOf[items[k]!.index] = count;
    });
    const column = {
      cost: setCost(slitter, lengthMm) - value,
      upper: Infinity,
      whole: true,
      entries: [
        [row, 1],
        ...counts.map((count, k): [number, number] => [items[k]!.index, count]),
        ...setUpEntry(program, slitter, cut, Math.max(...useful), lanes),
      ] as [number, number][],
    };
    program.cut.push({
      roll,
      slitter: slitter.id,
      lengthMm,
      strips: stripsOf,
      column: program.columns.length,
    });
    program.columns.push(column);
  }
}

function setCost(slitter: Slitter, lengthMm: number): number {
  const seconds = slitter.rampUpSeconds + slitter.rampDownSeconds;
  const speed = slitter.metresPerMinute;
  const metres = lengthMm / 1000;
  const ramped = (speed * seconds) / 120;
  const running =
    speed === Infinity
      ? 0
      : metres >= ramped
        ? metres / speed + seconds / 120
        : Math.sqrt((metres * seconds) / 30 / speed);
  return ((running + slitter.minutesPerSetChange) * slitter.costPerHour) / 60;
}
