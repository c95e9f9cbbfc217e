// What a little more of something would be worth. Each question is the problem with one thing changed; the answer is the
// difference between the linear relaxations of both, each held between the proven bound and the master's objective
// (see bounding.ts). Duals alone answer only for the first roll; a second relaxation answers for the whole change.
import type { Insight, InsightLine, Range } from '../domain/insight.ts';
import type { PlanControl } from '../domain/plan.ts';
import type { Order, Problem, Slitter } from '../domain/problem.ts';
import { um } from '../domain/units.ts';
import { type Relaxation, relax } from './bounding.ts';
import { buildModel } from './buildModel.ts';
import type { Column } from './columns.ts';
import { studyWidths, type WidthGrid } from './insightWidths.ts';
import { withoutLocked } from './locks.ts';
import type { Model } from './model.ts';
import { everything } from './remaining.ts';

const ONE_MM = 1000;
const SOME = 1e-6;

/**
 * Everything that can be said about the problem in the time that `control` gives, the cheapest questions first. What
 * is locked stays locked. CPU heavy: seconds. `grid` says which widths to try; left out, a usual one is made.
 */
export function insightOf(problem: Problem, control: PlanControl, grid?: WidthGrid): Insight {
  const open = withoutLocked(problem);
  const base = relaxed(open, control);
  const insight: Insight = {
    currency: problem.currency,
    base: rangeOf(base.relaxation),
    short: fallsShort(base.relaxation),
    lines: oneMoreRoll(open, base),
    widths: [],
    complete: control.secondsLeft() > 0,
  };
  for (const { line, changed, sameSites } of questions(open)) {
    if (control.secondsLeft() <= 0) return { ...insight, complete: false };
    const other = relaxed(changed, control, sameSites ? base : undefined);
    const { least, most } = rangeOf(other.relaxation);
    if (control.secondsLeft() <= 0) return { ...insight, complete: false };
    insight.lines.push(line(insight.base, { least, most }));
  }
  const { studies, complete } = studyWidths(open, control, grid);
  return { ...insight, widths: studies, complete };
}

interface Relaxed {
  model: Model;
  relaxation: Relaxation;
}

/** The relaxation to its end: costs in steps would let it stop early. Starts from the columns of a problem of equal sites. */
function relaxed(problem: Problem, control: PlanControl, like?: Relaxed): Relaxed {
  const model = { ...buildModel(problem), costStep: 0 };
  const remaining = everything(model);
  const pool = (like?.relaxation.columns ?? []).filter((column) => isProper(model, column, remaining.max));
  const relaxation = relax(model, remaining, pool, { setups: false, enough: Infinity, control });
  return { model, relaxation };
}

/** A set that makes more of something than is wanted belongs to no plan, and its column to no relaxation. */
function isProper(model: Model, column: Column, max: number[]): boolean {
  if (column.kind !== 'pattern') return true;
  const { demands } = model.sites[column.pattern.site];
  return column.pattern.counts.every((n, k) => n <= max[demands[k]]);
}

export function rangeOf({ bound, objective }: Pick<Relaxation, 'bound' | 'objective'>): Range {
  return { least: Math.min(bound, objective), most: objective };
}

function fallsShort({ columns, values }: Relaxation): boolean {
  return columns.some((column, c) => column.kind === 'short' && values[c] > SOME);
}

function oneMoreRoll(problem: Problem, { model, relaxation }: Relaxed): InsightLine[] {
  return model.demands.flatMap((demand, d) =>
    demand.orders.map(
      (o): InsightLine => ({
        what: 'one-more-roll',
        order: problem.orders[o].id,
        costs: relaxation.worth.strip[d],
      }),
    ),
  );
}

interface Question {
  changed: Problem;
  /** The change leaves sites and rolls as they are. */
  sameSites: boolean;
  line(base: Range, changed: Range): InsightLine;
}

/** What the second costs less than the first. */
function saving(first: Range, second: Range): Range {
  return { least: first.least - second.most, most: first.most - second.least };
}

function questions(problem: Problem): Question[] {
  return [
    ...problem.slitters.flatMap((slitter) => slitterQuestions(problem, slitter)),
    ...toleranceQuestions(problem),
  ];
}

function slitterQuestions(problem: Problem, slitter: Slitter): Question[] {
  const used = problem.orders.some((order) =>
    problem.products.some(({ id, slitters }) => id === order.product && slitters.includes(slitter.id)),
  );
  if (!used) return [];
  const withChange = (change: Partial<Slitter>): Problem => ({
    ...problem,
    slitters: problem.slitters.map((one) => (one.id === slitter.id ? { ...one, ...change } : one)),
  });
  const found: Question[] = [];
  for (const side of ['left', 'right'] as const) {
    const trim = slitter.edgeTrimMinUm[side];
    if (trim < ONE_MM) continue;
    const edgeTrimMinUm = { ...slitter.edgeTrimMinUm, [side]: um(trim - ONE_MM) };
    found.push({
      changed: withChange({ edgeTrimMinUm }),
      sameSites: false,
      line: (base, changed) => ({
        what: 'usable-width',
        slitter: slitter.id,
        side,
        saves: saving(base, changed),
      }),
    });
  }
  for (const [field, what] of [
    ['maxStrips', 'one-more-strip'],
    ['maxDistinctWidths', 'one-more-width'],
  ] as const) {
    const limit = slitter[field];
    if (!Number.isFinite(limit)) continue;
    found.push({
      changed: withChange({ [field]: limit + 1 }),
      sameSites: false,
      line: (base, changed) => ({ what, slitter: slitter.id, limit, saves: saving(base, changed) }),
    });
  }
  return found;
}

const isTolerant = ({ rolls, minRolls, maxRolls, good }: Order) =>
  good === undefined && (minRolls < rolls || maxRolls > rolls);

function toleranceQuestions(problem: Problem): Question[] {
  const tolerant = problem.orders.filter(isTolerant);
  const exactly = (which: (order: Order) => boolean): Problem => ({
    ...problem,
    orders: problem.orders.map((order) =>
      which(order) ? { ...order, minRolls: order.rolls, maxRolls: order.rolls } : order,
    ),
  });
  const question = (which: (order: Order) => boolean, order?: string): Question => ({
    changed: exactly(which),
    sameSites: true,
    line: (base, changed) => ({
      what: 'tolerance',
      ...(order === undefined ? {} : { order }),
      saves: saving(changed, base),
    }),
  });
  const together = tolerant.length > 1 ? [question(isTolerant)] : [];
  return [...together, ...tolerant.map(({ id }) => question((order) => order.id === id, id))];
}
