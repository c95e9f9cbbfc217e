// Which set is cut from which film by which day, as one integer program for small problems: orders of one size are owed
// so many rolls by each of their days; a class of film gives its sets from its day on; and on each slitter, from each day
// on which film becomes ready to each due day, sets take no more than it works in between (Horn, Naval Research Logistics
// Quarterly 21 (1974) 177: what keeps to that can be put in time where work may be interrupted). Set-ups, use-by days
// and minimum orders are left out, so every plan of the problem keeps to the program, and what it proves holds for all plans.
import { setMinutes } from '../../domain/filmMath.ts';
import type { Order, Problem, Slitter } from '../../domain/problem.ts';
import { daysBetween, type IsoDate, mmToM } from '../../domain/units.ts';
import { type WorkDays, workDays } from '../../domain/workCalendar.ts';
import { costed, type IntegerPlan, mergeSets } from '../building/integerPlan.ts';
import { layoutColumn, setCost, setsOf } from '../model/columns.ts';
import type { Pattern } from '../model/model.ts';
import { needsCap } from '../planRows/demandNotExceeded.ts';
import type { MipModel } from '../solvers/highs.ts';
import type { Entry } from '../solvers/lp.ts';
import { type MipDraft, openDraft } from '../solvers/mipDraft.ts';
import type { DatedPool } from './datedPool.ts';

/** An order that may lack rolls by its day; do they follow afterwards? */
export interface MayLack {
  order: string;
  restFollows: boolean;
}

export interface DatedProgram {
  mip: MipModel;
  /** The column that counts the rolls lacking. */
  lacking: number;
  /** `apart`: sets of one pattern that are cut from other film or by another day stay jobs of their own. */
  read(x: number[], apart: boolean): IntegerPlan;
}

const EVER = Number.POSITIVE_INFINITY;
/** Minutes that rounding may make of none. */
const A_MOMENT = 0.01;
const MOST_COLUMNS = 12_000;

/** `lackAtMost`: so many may lack and the plan is to be cheap; undefined: as few as possible are to lack. */
export function datedProgram(
  problem: Problem,
  pool: DatedPool,
  mayLack: MayLack,
  lackAtMost?: number,
): DatedProgram | undefined {
  const planOn = problem.planOn;
  if (!planOn) return undefined;
  const cheap = lackAtMost !== undefined;
  const ends = windowEnds(problem, planOn);
  if (pool.patterns.length * pool.classes.length * ends.length > MOST_COLUMNS) return undefined;
  const draft = openDraft([]);
  const owed = owedRows(problem, planOn, pool, ends, draft);
  const lacking = addLacking(problem, planOn, mayLack, owed, draft, cheap ? lackAtMost : EVER, cheap ? 0 : 1);
  const stock = pool.model.stock.map(({ count }) => draft.addRow(-EVER, count));
  const slots = pool.model.sites.map(() => pool.classes.map(() => draft.addRow(0, EVER)));
  const hours = hourRows(problem, planOn, pool, ends, draft);
  const layouts = addLayouts(pool, draft, stock, slots, cheap);
  const sets: { pattern: Pattern; column: number }[] = [];
  for (const pattern of pool.patterns)
    for (const film of pool.classesOf[pattern.site])
      for (const [w, end] of ends.entries()) {
        if (end < pool.classes[film].day) continue;
        const entries = [
          ...setEntries(pool, pattern, film, stock, slots),
          ...owed.entriesOf(pattern, w),
          ...hours.entriesOf(pattern, film, w),
        ];
        const cost = cheap ? setCost(pool.model, pattern) : 0;
        sets.push({ pattern, column: draft.addColumn(cost, entries, EVER, true) });
      }
  return { mip: draft.model(), lacking, read: (x, apart) => readPlan(pool, sets, layouts, x, apart) };
}

/** The days by which anything is owed, counted from the day of planning, and some day. */
function windowEnds({ orders }: Problem, planOn: IsoDate): number[] {
  const days = new Set(orders.map((order) => dueDay(order, planOn)).filter((day) => day < EVER));
  return [...[...days].sort((a, b) => a - b), EVER];
}

const dueDay = ({ dueOn }: Order, planOn: IsoDate): number => (dueOn ? daysBetween(planOn, dueOn) : EVER);

interface Owed {
  /** Of the demands that an order belongs to, the rows that count what is made by a day, with their days. */
  rowsOf(order: number): { row: number; end: number }[];
  entriesOf(pattern: Pattern, window: number): Entry[];
}

/** Of each size so many rolls by each day on which an order of it is due, and no more at all than its orders take. */
function owedRows(
  problem: Problem,
  planOn: IsoDate,
  { model }: DatedPool,
  ends: number[],
  draft: MipDraft,
): Owed {
  const rows = model.demands.map(({ orders }) =>
    ends.flatMap((end) => {
      const due = orders.filter((o) => dueDay(problem.orders[o], planOn) <= end);
      const isNew = end === EVER || orders.some((o) => dueDay(problem.orders[o], planOn) === end);
      const least = due.reduce((sum, o) => sum + problem.orders[o].minRolls, 0);
      return isNew ? [{ row: draft.addRow(least, EVER), end }] : [];
    }),
  );
  const caps = model.demands.map(({ max }, d) => (needsCap(model, d) ? draft.addRow(-EVER, max) : undefined));
  return {
    rowsOf: (order) => rows[model.demands.findIndex(({ orders }) => orders.includes(order))] ?? [],
    entriesOf: ({ site, counts }, window) =>
      counts.flatMap((n, k): Entry[] => {
        if (n === 0) return [];
        const d = model.sites[site].demands[k];
        const cap = caps[d];
        const inTime = rows[d].filter(({ end }) => ends[window] <= end).map(({ row }): Entry => [row, n]);
        return cap === undefined ? inTime : [...inTime, [cap, n]];
      }),
  };
}

function addLacking(
  { orders }: Problem,
  planOn: IsoDate,
  { order, restFollows }: MayLack,
  owed: Owed,
  draft: MipDraft,
  most: number,
  cost: number,
): number {
  const at = orders.findIndex(({ id }) => id === order);
  const from = dueDay(orders[at], planOn);
  const entries = owed
    .rowsOf(at)
    .filter(({ end }) => end >= from && !(restFollows && end === EVER))
    .map(({ row }): Entry => [row, 1]);
  return draft.addColumn(cost, entries, Math.min(most, orders[at].minRolls), true);
}

function addLayouts(
  { model, layouts, classOf }: DatedPool,
  draft: MipDraft,
  stock: number[],
  slots: number[][],
  cheap: boolean,
) {
  return layouts.map((layout) => {
    const source = model.sources[layout.source];
    const given = [...setsOf(model, layout)].map(
      ([site, n]): Entry => [slots[site][classOf[layout.source]], n],
    );
    const cost = cheap ? layoutColumn(model, layout).cost : 0;
    const { count } = model.stock[source.stock];
    return { layout, column: draft.addColumn(cost, [[stock[source.stock], 1], ...given], count, true) };
  });
}

/** A set takes a slot that a roll of its film gives, or a whole roll. */
function setEntries(
  { model }: DatedPool,
  { site }: Pattern,
  film: number,
  stock: number[],
  slots: number[][],
): Entry[] {
  const { wholeRollOf } = model.sites[site];
  return wholeRollOf === undefined
    ? [[slots[site][film], -1]]
    : [[stock[model.sources[wholeRollOf].stock], 1]];
}

/** On each slitter, from each day on which film is ready to each due day. */
function hourRows(problem: Problem, planOn: IsoDate, pool: DatedPool, ends: number[], draft: MipDraft) {
  const rows = problem.slitters.flatMap((slitter) => {
    const days = workDays(slitter.calendar, planOn);
    const own = pool.classes.filter((film) => film.slitter === slitter.id).map(({ day }) => day);
    return [...new Set(own)].flatMap((from) =>
      ends.flatMap((end, window) =>
        end === EVER || end < from
          ? []
          : [
              {
                slitter: slitter.id,
                from,
                window,
                row: draft.addRow(-EVER, minutesIn(slitter, days, from, end)),
              },
            ],
      ),
    );
  });
  return {
    entriesOf({ site }: Pattern, film: number, window: number): Entry[] {
      const { slitter, lengthMm } = pool.model.sites[site].place;
      const minutes = setMinutes({ ...slitter, lengthM: mmToM(lengthMm) }) + slitter.minutesPerSetChange;
      return rows
        .filter(
          (one) => one.slitter === slitter.id && one.from <= pool.classes[film].day && window <= one.window,
        )
        .map(({ row }): Entry => [row, minutes]);
    },
  };
}

function minutesIn({ busyMinutes = 0 }: Slitter, days: WorkDays, from: number, end: number): number {
  return (
    Math.max(0, days.minutesBefore(end + 1) - Math.max(days.minutesBefore(from), busyMinutes)) + A_MOMENT
  );
}

function readPlan(
  { model }: DatedPool,
  sets: { pattern: Pattern; column: number }[],
  layouts: { layout: IntegerPlan['layouts'][number]['layout']; column: number }[],
  x: number[],
  apart: boolean,
): IntegerPlan {
  const times = (column: number) => Math.round(x[column]);
  const cut = sets.flatMap(({ pattern, column }) =>
    times(column) > 0 ? [{ pattern, times: times(column) }] : [],
  );
  return costed(
    model,
    apart ? cut : mergeSets(cut),
    layouts.flatMap(({ layout, column }) => (times(column) > 0 ? [{ layout, times: times(column) }] : [])),
  );
}
