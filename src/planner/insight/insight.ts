// What a little more of something would be worth. Each question is the problem with one thing changed; the answer is the
// difference between the linear relaxations of both, each held between the proven bound and the master's objective
// (see bounding.ts). Duals alone answer only for the first roll; a second relaxation answers for the whole change.
import type { Insight, InsightLine, Range } from '../../domain/insight.ts';
import type { PlanControl } from '../../domain/plan.ts';
import type { Order, Problem, Slitter } from '../../domain/problem.ts';
import { um } from '../../domain/units.ts';
import { withoutLocked } from '../model/locks.ts';
import { type Relaxed, relaxed } from './insightRelaxed.ts';
import { studyWidths, type WidthGrid } from './insightWidths.ts';

const ONE_MM = 1000;
const SOME = 1e-6;

/**
 * Everything that can be said about the problem in the time that `control` gives, the cheapest questions first. What
 * is locked stays locked. CPU heavy: seconds. `grid` says which widths to try; left out, a usual one is made.
 */
export function insightOf(problem: Problem, control: PlanControl, grid?: WidthGrid): Insight {
  const open = withoutLocked(problem);
  const base = relaxed(open, control);
  const { currency } = problem;
  if (!base) return { currency, base: undefined, short: false, lines: [], widths: [], complete: false };
  const lines = oneMoreRoll(open, base);
  const ask = ({ line, changed }: Question) => {
    const other = control.secondsLeft() > 0 ? relaxed(changed, control, base) : undefined;
    if (other) lines.push(line(base.range, other.range));
  };
  const { together, single } = toleranceQuestions(open);
  for (const question of open.slitters.flatMap((slitter) => slitterQuestions(open, slitter))) ask(question);
  for (const question of together) ask(question);
  const forOthers = single.length > 0 && control.secondsLeft() < Infinity ? control.secondsLeft() / 3 : 0;
  const most = { secondsLeft: () => control.secondsLeft() - forOthers, report: () => {} };
  const { studies, complete } = studyWidths(open, most, grid);
  for (const question of single) ask(question);
  const all = complete && control.secondsLeft() > 0;
  return { currency, base: base.range, short: fallsShort(base), lines, widths: studies, complete: all };
}

function fallsShort({ relaxation: { columns, values } }: Relaxed): boolean {
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
  line(base: Range, changed: Range): InsightLine;
}

/** What the second costs less than the first. */
function saving(first: Range, second: Range): Range {
  return { least: first.least - second.most, most: first.most - second.least };
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
      line: (base, changed) => ({ what, slitter: slitter.id, limit, saves: saving(base, changed) }),
    });
  }
  return found;
}

const isTolerant = ({ rolls, minRolls, maxRolls, good }: Order) =>
  good === undefined && (minRolls < rolls || maxRolls > rolls);

/** Of all orders together, where there are several, and of each by itself. */
function toleranceQuestions(problem: Problem): { together: Question[]; single: Question[] } {
  const tolerant = problem.orders.filter(isTolerant);
  const exactly = (which: (order: Order) => boolean): Problem => ({
    ...problem,
    orders: problem.orders.map((order) =>
      which(order) ? { ...order, minRolls: order.rolls, maxRolls: order.rolls } : order,
    ),
  });
  const question = (which: (order: Order) => boolean, order?: string): Question => ({
    changed: exactly(which),
    line: (base, changed) => ({
      what: 'tolerance',
      ...(order === undefined ? {} : { order }),
      saves: saving(changed, base),
    }),
  });
  return {
    together: tolerant.length > 1 ? [question(isTolerant)] : [],
    single: tolerant.map(({ id }) => question((order) => order.id === id, id)),
  };
}
