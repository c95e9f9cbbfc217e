// The tables of a plan page as rows of texts: orders, runs, rolls, where every square metre goes, costs.
// Pure view models; numbers are already written as the page shows them.
import type { Plan, Yield } from '../../domain/plan.ts';
import type { Problem } from '../../domain/problem.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { drawField } from '../drawings/picture.ts';
import type { FieldGroup } from '../drawings/picturePlan.ts';
import { fieldsOfPlan, rollNames } from '../drawings/picturePlan.ts';
import { grouped } from '../words.ts';
import type { NamedAmount } from './planMoney.ts';
import { money, outcomeWords, patternWords } from './planWords.ts';

const AREAS: [keyof Yield, string][] = [
  ['orderedM2', 'ordered rolls'],
  ['overM2', 'over-run within tolerance'],
  ['fillerM2', 'filler rolls'],
  ['edgeTrimM2', 'edge trim'],
  ['wasteStripM2', 'waste strips'],
  ['leadInM2', 'lead-in and tails'],
  ['defectM2', 'bad places cut out'],
  ['stubM2', 'stubs, kept or lost'],
];
const square = (m2: number) =>
  m2.toLocaleString('en-GB', { minimumFractionDigits: 1, maximumFractionDigits: 1 });
const inPercent = (share: number) =>
  (share * 100).toLocaleString('en-GB', { minimumFractionDigits: 1, maximumFractionDigits: 1 });

/** Where every square metre goes; `sum` is added up here from the rows, to be held against the input. */
export function areaRows(areas: Yield): { rows: NamedAmount[]; sum: string; input: string; closes: boolean } {
  const part = (m2: number) => (areas.inputM2 > 0 ? m2 / areas.inputM2 : 0);
  const sum = AREAS.reduce((total, [key]) => total + areas[key], 0);
  return {
    rows: AREAS.map(([key, name]) => ({
      name,
      amount: square(areas[key]),
      share: inPercent(part(areas[key])),
    })),
    sum: square(sum),
    input: square(areas.inputM2),
    closes: Math.abs(sum - areas.inputM2) <= Math.max(0.05, areas.inputM2 * 1e-6),
  };
}

/** One row an order, the worst first: short, late, met. */
export function orderRows(plan: Plan, problem: Problem, tones: Map<string, number>) {
  // Where film is short, one more roll of an order takes film from another: its price is that of falling short.
  const marginal = new Map(
    plan.cost.short > 0 ? [] : plan.marginal.map((one) => [one.order, one.costPerRoll]),
  );
  const worst = (order: Plan['orders'][number]) => (order.short > 0 ? 0 : order.lateDays > 0 ? 1 : 2);
  return [...plan.orders]
    .sort((a, b) => worst(a) - worst(b))
    .map((outcome) => {
      const order = problem.orders.find((one) => one.id === outcome.id);
      const cost = marginal.get(outcome.id);
      return {
        id: outcome.id,
        tone: tones.get(outcome.id) ?? 0,
        product: order?.product ?? '',
        widthMm: order ? grouped(umToMm(order.widthUm)) : '',
        lengthM: order ? grouped(mmToM(order.lengthMm)) : '',
        ordered: grouped(outcome.ordered),
        planned: grouped(outcome.planned),
        words: outcomeWords(outcome),
        mark: ['stop', 'look', ''][worst(outcome)],
        reasons: outcome.reasons,
        dueOn: order?.dueOn ?? '',
        readyOn: outcome.readyOn ?? '',
        oneMore: cost === undefined ? '' : money(cost),
      };
    });
}

/** One row a run, in the order of the slitter. */
export function runRows(plan: Plan) {
  return [...plan.runs]
    .sort((a, b) => a.sequence - b.sequence)
    .map((run) => ({
      sequence: run.sequence,
      slitter: run.slitter,
      product: run.product,
      rolls: rollNames([...new Set(run.from.map((from) => from.roll))]),
      pattern: patternWords(run),
      trims: `${grouped(run.trimLeftMm)} / ${grouped(run.trimRightMm)}`,
      lengthM: grouped(run.lengthM),
      sets: grouped(run.sets),
      minutes: grouped(run.minutes, 0),
      knifeMoves: grouped(run.knifeMoves),
      startsOn: run.startsOn ?? '',
    }));
}

/** The picture of every roll, all to one scale across; `prefix` keeps their ids apart from others on the page. */
export function drawnFields(plan: Plan, problem: Problem, prefix = '', most = Number.POSITIVE_INFINITY) {
  const groups = fieldsOfPlan(plan, problem).map((group) => ({
    ...group,
    field: { ...group.field, id: prefix + group.field.id },
  }));
  const widest = Math.max(1, ...groups.map((group) => group.field.widthMm));
  return groups.slice(0, most).map((group) => ({ ...group, picture: drawField(group.field, widest) }));
}

/** What the runs add up to on the slitters. */
export function runSums(plan: Plan) {
  const add = (of: (run: Plan['runs'][number]) => number) => plan.runs.reduce((sum, run) => sum + of(run), 0);
  return {
    sets: grouped(add((run) => run.sets)),
    minutes: grouped(
      add((run) => run.minutes),
      0,
    ),
    knifeMoves: grouped(add((run) => run.knifeMoves)),
  };
}

/** One row for rolls cut alike: what is taken, what is left and whether it is worth keeping. */
export function rollRows(groups: readonly FieldGroup[], plan: Plan) {
  return groups.map(({ field, rolls, names, item }) => {
    const taken = Math.max(0, ...field.beds.map((bed) => bed.toM));
    const stub = plan.stubs.find((one) => one.roll === rolls[0]);
    const left = Math.max(0, field.lengthM - taken);
    const film = plan.coating.some((step) => step.roll === rolls[0]);
    return {
      names,
      many: rolls.length,
      item,
      widthMm: grouped(field.widthMm),
      lengthM: grouped(field.lengthM, 1),
      runs: field.beds.map((bed) => bed.name.replace('run ', '')).join(', '),
      takenM: grouped(taken, 1),
      leftM: left > 0.0005 ? grouped(left, 1) : '',
      left:
        left <= 0.0005
          ? 'used up'
          : stub?.keep
            ? film
              ? 'base film, kept'
              : 'stub, kept'
            : 'too short to keep, lost',
    };
  });
}
