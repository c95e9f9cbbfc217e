// Good purchases of many grades: one grade after the other joins what is ordered already; then a few grades at a time are bought
// anew while the lines of all others stand, as long as that saves something (Shaw 1998, Lecture Notes in Computer Science 1520,
// 417). Each step is a small program with the same columns as the whole.
import { solveMip } from '../solvers/highs.ts';
import { type Counted, countUp, linesOf, type OrderLine } from './purchaseCount.ts';
import { type OrderLoad, orderKey, type PurchaseProgram, purchaseProgram } from './purchaseProgram.ts';
import { relaxWithSets } from './purchaseSets.ts';
import type { BuyingTask } from './purchaseTask.ts';

/** So many grades are bought anew together. */
const TOGETHER = 3;
const NODES = 400;
/** One step takes no longer than this share of the time that is left. */
const SHARE = 0.15;

/** Undefined when time ends before every grade is bought once. */
export function buyFewGrades(
  task: BuyingTask,
  program: PurchaseProgram,
  { oneOrderOf, from }: { oneOrderOf?: string | undefined; from?: readonly OrderLine[] | undefined },
  secondsLeft: () => number,
): Counted | undefined {
  const anew: BuyAnew = (grades, lines) => buyAnew(task, program, { grades, oneOrderOf }, lines, secondsLeft);
  const grades = task.grades.map(({ grade }) => grade);
  if (from) {
    const hit = from.filter((line) => line.grade === oneOrderOf || !isOffered(task, line));
    const changed = grades.filter((grade) => hit.some((line) => line.grade === grade));
    return withAnew(task, program, anew, changed, from, secondsLeft);
  }
  let best = oneByOne(task, program, anew, secondsLeft);
  if (!best) return undefined;
  // Without a saving in one go over all neighbourhoods there is none to be had this way.
  for (let idle = 0, step = 0; idle < grades.length && secondsLeft() > 0; step++) {
    const lines = anew(neighbours(task, grades, step), best.lines);
    const counted = lines && countUp(task, program, lines, secondsLeft);
    const better = counted && !counted.missing && counted.total < best.total - 1e-6 * best.total;
    idle = better ? 0 : idle + 1;
    if (better) best = counted;
  }
  return best;
}

const isOffered = ({ offers }: BuyingTask, line: OrderLine): boolean =>
  offers.some(({ code, widthUm }) => code === line.offer && widthUm === line.widthUm);

/** A purchase of which some grades have to be bought otherwise: they alone, and each with some of its neighbours. */
function withAnew(
  task: BuyingTask,
  program: PurchaseProgram,
  anew: BuyAnew,
  changed: readonly string[],
  from: readonly OrderLine[],
  secondsLeft: () => number,
): Counted | undefined {
  const grades = task.grades.map(({ grade }) => grade);
  const kept = from.filter(({ grade }) => grades.includes(grade) && !changed.includes(grade));
  const ways = [changed, ...changed.map((grade) => neighbours(task, grades, grades.indexOf(grade)))];
  const counted = ways.flatMap((together) => {
    const lines = secondsLeft() > 0 ? anew([...new Set([...changed, ...together])], kept) : undefined;
    const one = lines && countUp(task, program, lines, secondsLeft);
    return one && !one.missing ? [one] : [];
  });
  return counted.sort((a, b) => a.total - b.total)[0];
}

type BuyAnew = (grades: readonly string[], lines: readonly OrderLine[]) => OrderLine[] | undefined;

function oneByOne(
  task: BuyingTask,
  program: PurchaseProgram,
  anew: BuyAnew,
  secondsLeft: () => number,
): Counted | undefined {
  let lines: OrderLine[] = [];
  for (const { grade } of task.grades) {
    const more = anew([grade], lines);
    if (!more) return undefined;
    lines = more;
  }
  const counted = countUp(task, program, lines, secondsLeft);
  return counted.missing ? undefined : counted;
}

/** A grade and those after it that share a supplier with it; each time round others. */
function neighbours(task: BuyingTask, grades: readonly string[], step: number): string[] {
  const at = step % grades.length;
  const turn = 1 + (Math.floor(step / grades.length) % Math.max(1, grades.length - 1));
  const suppliers = new Set(
    task.offers.filter(({ grade }) => grade === grades[at]).map(({ supplier }) => supplier),
  );
  const sharing = new Set(
    task.offers.filter(({ supplier }) => suppliers.has(supplier)).map(({ grade }) => grade),
  );
  const others = grades.map((_, i) => grades[(at + turn + i) % grades.length] as string);
  const near = others.filter((grade) => grade !== grades[at] && sharing.has(grade));
  return [grades[at] as string, ...near.slice(0, TOGETHER - 1)];
}

/** All lines, those of these grades anew; undefined when none were found in time. */
function buyAnew(
  task: BuyingTask,
  { calendar }: PurchaseProgram,
  { grades, oneOrderOf }: { grades: readonly string[]; oneOrderOf: string | undefined },
  lines: readonly OrderLine[],
  secondsLeft: () => number,
): OrderLine[] | undefined {
  const kept = lines.filter(({ grade }) => !grades.includes(grade));
  const own: BuyingTask = {
    ...task,
    grades: task.grades.filter(({ grade }) => grades.includes(grade)),
    offers: task.offers.filter(({ grade }) => grades.includes(grade)),
  };
  const program = purchaseProgram(own, {
    ...{ sets: true, calendar, loads: loadsOf(kept) },
    oneOrderOf: oneOrderOf !== undefined && grades.includes(oneOrderOf) ? oneOrderOf : undefined,
  });
  relaxWithSets(program, secondsLeft);
  const seconds = Math.max(0.05, SHARE * secondsLeft());
  const found = solveMip(program.draft.mip, { nodes: NODES, seconds, absoluteGap: 1 });
  return found.x && [...kept, ...linesOf(program.lots, found.x)];
}

function loadsOf(lines: readonly OrderLine[]): Map<string, OrderLoad> {
  const loads = new Map<string, OrderLoad>();
  for (const { supplier, arrivesDay, cost, kg, rolls } of lines) {
    const key = orderKey(supplier, arrivesDay);
    const before = loads.get(key) ?? { value: 0, kg: 0, rolls: 0 };
    loads.set(key, { value: before.value + cost, kg: before.kg + kg, rolls: before.rolls + rolls });
  }
  return loads;
}
