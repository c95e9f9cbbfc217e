// Cutting stock: every benchmark instance, the planner beside the arc-flow model on HiGHS, against the published bounds.
// Two times of the planner. `planner`: one run, from the document to the checked plan with knives in their places and
// runs in order. `solved`: from the problem to sets and rolls in whole numbers, proved or at the end of the search, which
// is what the arc-flow model answers as well; building the model counts on both sides. Short ones are timed several
// times, so that both have been compiled by then; the middle one counts.
import type { Plan, PlanProgress } from '../../src/domain/plan.ts';
import { LARGEST, type ProblemDocument } from '../../src/domain/problemSchema.ts';
import { planned } from '../planner/planned.ts';
import type { Instance } from '../readCases.ts';
import { cuttingStock, readBenchmark } from '../readCases.ts';
import type { ArcFlowAnswer } from './arcFlow.ts';
import { solveArcFlow } from './arcFlow.ts';
import { cpuSeconds, median } from './cpuSeconds.ts';

interface Row {
  instance: Instance;
  plan: Plan;
  rolls: number;
  /** Published best; where none is published, the least that the planner's own bound allows. */
  best: number;
  /** Of the whole plan. */
  seconds: number;
  /** To whole numbers. */
  solved: number;
  arcFlow: ArcFlowAnswer | undefined;
}

const WARMING_WIDTHS = 100;
const WARMING_ROUNDS = 3;
const REPEATING = 1;
const MOST_REPEATS = 25;

export interface StockOptions {
  /** Text that an instance's name or source holds. */
  only: string;
  seconds: number;
  arcFlowSeconds: number;
  /** Time of all arc-flow models together; 0: none. */
  budget: number;
}

export function benchStock({ only, seconds, arcFlowSeconds, budget }: StockOptions): void {
  const chosen = readBenchmark().filter(({ name, source }) => `${name} ${source}`.includes(only));
  // Small instances first, so that the arc-flow budget meets those that it can finish.
  chosen.sort((a, b) => a.rollWidth * a.items.length - b.rollWidth * b.items.length);
  if (chosen.length === 0) throw new Error(`no instance holds ${JSON.stringify(only)}`);
  warmUp(chosen, seconds);
  console.log(HEADER);
  let spent = 0;
  const rows = chosen.map((instance) => {
    const row = solve(instance, seconds, spent < budget ? arcFlowSeconds : 0);
    spent += row.arcFlow?.seconds ?? 0;
    console.log(printRow(row));
    return row;
  });
  summarize(rows);
}

/** The first plans pay for loading and compiling; they are not counted. */
function warmUp(chosen: Instance[], seconds: number): void {
  const small = chosen.filter(({ items }) => items.length <= WARMING_WIDTHS);
  for (let round = 0; round < WARMING_ROUNDS; round++)
    for (const instance of small) planned(documentOf(instance), seconds);
  planned(documentOf(chosen[0]!), seconds);
}

/** Widths as millimetres, or as thousandths of them where the numbers are larger than any web. */
export function documentOf({ rollWidth, items }: Instance): ProblemDocument {
  const unit = rollWidth > LARGEST ? 1000 : 1;
  return cuttingStock(
    [rollWidth / unit],
    items.map(([width, demand]) => ({ width: width / unit, demand })),
  );
}

function solve(instance: Instance, seconds: number, arcFlowSeconds: number): Row {
  const document = documentOf(instance);
  const start = cpuSeconds();
  const { plan, solved: once } = timed(document, seconds);
  const spent = cpuSeconds() - start;
  const solved = middleOf(once, spent, () => timed(document, seconds).solved);
  const answer = arcFlowSeconds > 0 ? solveArcFlow(instance, arcFlowSeconds) : undefined;
  const again = () => solveArcFlow(instance, arcFlowSeconds).seconds;
  const arcFlow = answer && { ...answer, seconds: middleOf(answer.seconds, answer.seconds, again) };
  const best = instance.publishedBest ?? Math.ceil(plan.bound.cost - 1e-6);
  return { instance, plan, rolls: Math.round(plan.cost.total), best, seconds: spent, solved, arcFlow };
}

/** The middle of several times, of as many as REPEATING seconds have room for at `each`; where they are few, the first. */
function middleOf(first: number, each: number, again: () => number): number {
  const repeats = Math.min(MOST_REPEATS, Math.floor(REPEATING / each));
  return repeats < 2 ? first : median(Array.from({ length: repeats }, again));
}

function timed(document: ProblemDocument, seconds: number): { plan: Plan; solved: number } {
  let from = 0;
  let to = 0;
  const hear = ({ phase }: PlanProgress) => {
    if (phase === 'reading') from = cpuSeconds();
    if (phase === 'laying out') to = cpuSeconds();
  };
  const plan = planned(document, seconds, hear, cpuSeconds);
  return { plan, solved: to - from };
}

const HEADER =
  'instance                widths  best  rolls   +  bound      planner   solved  arc-flow           times faster';

function printRow({ instance, plan, rolls, best, seconds: spent, solved, arcFlow }: Row): string {
  const published = instance.publishedBest === null ? `(${best})` : `${best}`;
  const opponent = arcFlow
    ? `${arcFlow.outcome === 'optimal' ? arcFlow.rolls : arcFlow.outcome} ${arcFlow.seconds.toFixed(3)} s`
    : '-';
  return [
    instance.name.padEnd(23),
    String(instance.items.length).padStart(6),
    published.padStart(5),
    String(rolls).padStart(6),
    String(rolls - best).padStart(3),
    ` ${plan.bound.cost.toFixed(2).padEnd(8)}`,
    `${spent.toFixed(3).padStart(8)} s`,
    `${solved.toFixed(4).padStart(7)} s`,
    opponent.padEnd(18),
    arcFlow?.outcome === 'optimal' ? (arcFlow.seconds / solved).toFixed(1) : '',
  ].join(' ');
}

function summarize(rows: Row[]): void {
  const above = rows.map(({ rolls, best }) => rolls - best);
  const met = above.filter((more) => more <= 0).length;
  const spent = rows.map((row) => row.seconds);
  const typical = rows.filter(({ instance }) => instance.items.length >= 20 && instance.items.length <= 40);
  const finished = rows.filter((row) => row.arcFlow?.outcome === 'optimal');
  const ratios = finished.map((row) => row.arcFlow!.seconds / row.solved);
  const wrong = finished.filter((row) => row.rolls < row.arcFlow!.rolls!);
  const line = (what: string, found: string, wanted: string) =>
    console.log(`${what.padEnd(46)}${found.padEnd(22)}${wanted}`);
  console.log(
    `\n${rows.length} instances${' '.repeat(46 - `${rows.length} instances`.length)}measured              wanted`,
  );
  line(
    'rolls equal to the published best',
    `${met} (${((100 * met) / rows.length).toFixed(1)} %)`,
    'at least 95 %',
  );
  line('most rolls above it', String(Math.max(...above)), 'at most 1');
  line('proved to be the best', String(rows.filter(({ plan }) => plan.stopped === 'proved').length), '');
  line('longest time', `${Math.max(...spent).toFixed(2)} s`, 'at most 10 s');
  line('median time', `${median(spent).toFixed(3)} s`, '');
  line(
    'longest time of 20 to 40 widths',
    `${Math.max(0, ...typical.map((row) => row.seconds)).toFixed(2)} s`,
    'below 1 s',
  );
  line('arc-flow finished', `${finished.length} of ${rows.filter((row) => row.arcFlow).length}`, '');
  if (ratios.length) line('times faster than arc-flow, median', median(ratios).toFixed(1), 'at least 50');
  if (wrong.length)
    throw new Error(`fewer rolls than the proved optimum: ${wrong.map(({ instance }) => instance.name)}`);
}
