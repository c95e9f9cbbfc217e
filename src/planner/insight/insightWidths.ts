// Which one more width of film would save most. The width there is and the one that is tried can both be had without
// limit at the same price per m2, so that only the width makes the difference. Candidates are ranked by their
// relaxations; small problems are then planned with each of them, and ranked by the plans when all come out well.
import { filmMassKg } from '../../domain/filmMath.ts';
import type { Range, WidthCandidate, WidthStudy } from '../../domain/insight.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Problem, StockRoll } from '../../domain/problem.ts';
import { addDays, areaM2, mmToM, mmToUm, type Um, umToMm } from '../../domain/units.ts';
import { planSlitting } from '../planSlitting.ts';
import { relaxed } from './insightRelaxed.ts';

/** Widths to try, in mm. */
export interface WidthGrid {
  fromMm: number;
  toMm: number;
  stepMm: number;
}

const MOST_CANDIDATES = 16;
/** Problems with at most so many different strips are planned, not only relaxed. */
const SMALL = 12;
const SECONDS_PER_PLAN = 3;
/** A plan with a wider gap says less about a width than the relaxation does. */
const WIDEST_GAP_PCT = 0.5;

/** One study for each kind of film that the orders are cut from. */
export function studyWidths(
  problem: Problem,
  control: PlanControl,
  grid?: WidthGrid,
): { studies: WidthStudy[]; complete: boolean } {
  const studies: WidthStudy[] = [];
  for (const roll of filmsOf(problem)) {
    const study = studyOf(problem, roll, control, grid);
    if (study) studies.push(study);
    if (control.secondsLeft() <= 0) return { studies, complete: false };
  }
  return { studies, complete: true };
}

/** For each item one roll as it can be had: of the cheapest offer, or where nothing is offered as most of the stock is. */
function filmsOf(problem: Problem): StockRoll[] {
  const items = new Map<string, StockRoll>();
  const area = new Map<string, number>();
  for (const roll of problem.rolls) {
    const key = `${roll.kind === 'base' ? 'base' : 'coated'}|${roll.item}`;
    const size = `${key}|${roll.widthUm}|${roll.lengthMm}`;
    area.set(size, (area.get(size) ?? 0) + roll.count * areaM2(roll.widthUm, roll.lengthMm));
    const best = items.get(key);
    const other = best ? (area.get(`${key}|${best.widthUm}|${best.lengthMm}`) ?? 0) : -1;
    if (roll.kind !== 'stub' && (area.get(size) ?? 0) > other)
      items.set(key, { ...roll, defects: [], useBy: undefined });
  }
  for (const offer of [...problem.offers].sort((a, b) => b.pricePerKg - a.pricePerKg)) {
    const offered = offeredRoll(problem, offer);
    if (offered) items.set(`base|${offer.grade}`, offered);
  }
  return [...items.values()].filter((roll) => servedBy(problem, roll).length > 0);
}

function offeredRoll(problem: Problem, offer: Problem['offers'][number]): StockRoll | undefined {
  const grade = problem.grades.find(({ id }) => id === offer.grade);
  if (!grade) return undefined;
  const kg = filmMassKg({ widthMm: umToMm(offer.widthMaxUm), lengthM: mmToM(offer.rollLengthMm), ...grade });
  return {
    id: offer.id,
    kind: 'base',
    item: offer.grade,
    widthUm: offer.widthMaxUm,
    lengthMm: offer.rollLengthMm,
    count: 1,
    readyOn: problem.planOn && addDays(problem.planOn, offer.leadTimeDays),
    useBy: undefined,
    costPerRoll: kg * offer.pricePerKg,
    defects: [],
  };
}

const servedBy = (problem: Problem, roll: StockRoll) =>
  problem.products.filter(
    ({ id, coating }) =>
      (roll.kind === 'base' ? coating?.grades.includes(roll.item) : id === roll.item) &&
      problem.orders.some((order) => order.product === id && order.maxRolls > 0),
  );

function studyOf(
  problem: Problem,
  roll: StockRoll,
  control: PlanControl,
  grid: WidthGrid | undefined,
): WidthStudy | undefined {
  const own = new Set(servedBy(problem, roll).map(({ id }) => id));
  const part = {
    ...problem,
    orders: problem.orders.filter((order) => own.has(order.product)),
    fillers: problem.fillers.filter((filler) => own.has(filler.product)),
    offers: [],
  };
  const enough = part.orders.reduce((sum, order) => sum + order.maxRolls, 0);
  // Names that sort last, so that what was there keeps its numbers in the planner's model.
  const unlimited = (widthUm: Um, name: string): StockRoll => ({
    ...roll,
    id: name,
    widthUm,
    count: enough,
    costPerRoll: (roll.costPerRoll * widthUm) / roll.widthUm,
  });
  const now = { ...part, rolls: [...part.rolls, unlimited(roll.widthUm, '~as it is')] };
  const tried = (widthMm: number) => ({
    ...now,
    rolls: [...now.rolls, unlimited(mmToUm(widthMm), '~one more width')],
  });
  const first = relaxed(now, control);
  const candidates: WidthCandidate[] = [];
  for (const widthMm of widthsToTry(part, roll, grid)) {
    const other = first && control.secondsLeft() > 0 ? relaxed(tried(widthMm), control, first) : undefined;
    if (other) candidates.push({ widthMm, cost: other.range, planned: false });
  }
  if (!first || candidates.length === 0) return undefined;
  const without = { cost: first.range, planned: false };
  const study = { item: roll.item, besideMm: umToMm(roll.widthUm), lengthM: mmToM(roll.lengthMm) };
  const isSmall = new Set(part.orders.map((o) => `${o.product}|${o.widthUm}|${o.lengthMm}`)).size <= SMALL;
  const relaxations = { ...study, without, candidates: candidates.sort(byCost) };
  return (isSmall && allPlanned(relaxations, now, tried, control)) || relaxations;
}

/** The study by whole plans; undefined when not all of them come out well in time, since only equals can be compared. */
function allPlanned(
  study: WidthStudy,
  now: Problem,
  tried: (widthMm: number) => Problem,
  control: PlanControl,
): WidthStudy | undefined {
  const without = planOf(now, control);
  if (!without) return undefined;
  const candidates: WidthCandidate[] = [];
  for (const { widthMm } of study.candidates) {
    const found = planOf(tried(widthMm), control);
    if (!found) return undefined;
    candidates.push({ widthMm, ...found });
  }
  return { ...study, without, candidates: candidates.sort(byCost) };
}

const byCost = (a: WidthCandidate, b: WidthCandidate) =>
  a.cost.most - b.cost.most || a.cost.least - b.cost.least || a.widthMm - b.widthMm;

/** The cost of a whole plan, set-ups left out as everywhere here; undefined when its gap stays wide or time is up. */
function planOf(problem: Problem, control: PlanControl): { cost: Range; planned: true } | undefined {
  if (control.secondsLeft() <= 0) return undefined;
  const free = problem.slitters.map((slitter) => ({
    ...slitter,
    minutesPerSetup: 0,
    minutesPerKnifeMove: 0,
  }));
  const until = Math.max(0, control.secondsLeft() - SECONDS_PER_PLAN);
  const plan = planSlitting(
    { ...problem, slitters: free, costs: { ...problem.costs, perLateRollDay: 0 } },
    { secondsLeft: () => control.secondsLeft() - until, report: () => {} },
  );
  if (plan.bound.gapPct > WIDEST_GAP_PCT) return undefined;
  return { cost: { least: plan.bound.cost, most: plan.cost.total }, planned: true };
}

/** The grid's widths from wide to narrow, without the one that there is and those that no slitter takes. */
function widthsToTry(problem: Problem, roll: StockRoll, grid: WidthGrid | undefined): number[] {
  const widest = Math.max(...problem.slitters.map((slitter) => umToMm(slitter.maxWebWidthUm)));
  const { fromMm, toMm, stepMm } = grid ?? usualGrid(problem, umToMm(roll.widthUm), widest);
  const count = Math.floor((toMm - fromMm) / stepMm + 1e-9) + 1;
  return Array.from({ length: Math.max(0, count) }, (_, k) => fromMm + (count - 1 - k) * stepMm).filter(
    (widthMm) => widthMm <= widest && mmToUm(widthMm) !== roll.widthUm,
  );
}

/** From half to a quarter more of what there is, in round steps, never narrower than the widest order. */
function usualGrid(problem: Problem, nowMm: number, widest: number): WidthGrid {
  const order = Math.max(...problem.orders.map(({ widthUm }) => umToMm(widthUm)));
  const toMm = Math.min(1.25 * nowMm, widest);
  const least = Math.max(nowMm / 2, order);
  const stepMm = roundStep((toMm - least) / (MOST_CANDIDATES - 1));
  return { fromMm: Math.ceil(least / stepMm) * stepMm, toMm, stepMm };
}

/** The next of 1, 2, 5, 10, 20, 50, ... */
function roundStep(atLeast: number): number {
  const ten = 10 ** Math.floor(Math.log10(Math.max(1, atLeast)));
  return [1, 2, 5, 10].map((times) => times * ten).find((step) => step >= atLeast) ?? 10 * ten;
}
