// What one slitter has to do, before anyone has said in which order: its jobs (a pattern, so many sets), its rolls with
// the sets that each gives, its settings of the knives, and what its strips are due. Times are minutes from the
// beginning of the day of planning.
import { setMinutes } from '../domain/filmMath.ts';
import type { Problem, Slitter } from '../domain/problem.ts';
import { daysBetween, mmToM } from '../domain/units.ts';
import { setsOf } from './columns.ts';
import type { IntegerPlan } from './integerPlan.ts';
import { sharesOf, urgency } from './labels.ts';
import type { Layout, Model, Pattern, Source } from './model.ts';
import { knifeKey } from './setups.ts';

/** All sets of one pattern. */
export interface Job {
  pattern: Pattern;
  site: number;
  sets: number;
  /** Index into the settings: jobs of one setting have their knives in the same places. */
  setting: number;
  minutesPerSet: number;
  /** What each set gives: indexes into `dues` and strips. */
  gives: { due: number; strips: number }[];
  /** The most urgent of its orders, as a text that sorts. */
  urgency: string;
}

/** A stretch of equal sets on a roll. */
export interface Chunk {
  site: number;
  sets: number;
  /** Where each set starts; undefined when the sets of the roll may be cut in any order. */
  startsMm: number[] | undefined;
}

/** Rolls that are all used alike. */
export interface RollKind {
  source: Source;
  chunks: Chunk[];
  count: number;
  readyAt: number;
}

/** Strips of one demand go to its orders in this order, so many to each. */
export interface Due {
  demand: number;
  shares: { strips: number; rush: boolean; day: number }[];
}

export interface Work {
  slitter: Slitter;
  jobs: Job[];
  kinds: RollKind[];
  /** One pattern of each setting. */
  settings: Pattern[];
  dues: Due[];
  perLateRollDay: number;
  /** Day number of the use-by date of the k-th roll taken of a stock item; Infinity when it has none. */
  useByDay(stock: number, k: number): number;
}

export const MINUTES_PER_DAY = 1440;
const NEVER = Number.POSITIVE_INFINITY;

/** The work of every slitter that has any. */
export function workOf(problem: Problem, model: Model, plan: IntegerPlan): Work[] {
  const useByDay = useByDays(problem, model);
  const made = stripsMade(model, plan);
  return problem.slitters.flatMap((slitter) => {
    const sets = plan.sets.filter(
      ({ pattern, times }) => times > 0 && model.sites[pattern.site].place.slitter.id === slitter.id,
    );
    if (sets.length === 0) return [];
    const dues = duesOf(problem, model, made, sets);
    const settings = new Map<string, number>();
    const jobs = sets.map(({ pattern, times }): Job => {
      const key = knifeKey(model, pattern);
      if (!settings.has(key)) settings.set(key, settings.size);
      return jobOf(problem, model, dues, pattern, times, settings.get(key) as number);
    });
    const kinds = [...rollsByLayout(problem, model, plan, slitter), ...wholeRolls(problem, model, sets)];
    return [
      {
        slitter,
        jobs,
        kinds,
        settings: [...settings.values()].map((s) => (jobs.find((job) => job.setting === s) as Job).pattern),
        dues,
        perLateRollDay: problem.costs.perLateRollDay,
        useByDay,
      },
    ];
  });
}

function stripsMade(model: Model, plan: IntegerPlan): number[] {
  const made = model.demands.map(() => 0);
  for (const { pattern, times } of plan.sets) {
    pattern.counts.forEach((n, k) => {
      made[model.sites[pattern.site].demands[k]] += n * times;
    });
  }
  return made;
}

function duesOf(problem: Problem, model: Model, made: number[], sets: IntegerPlan['sets']): Due[] {
  const demands = new Set(
    sets.flatMap(({ pattern }) =>
      pattern.counts.flatMap((n, k) => (n > 0 ? [model.sites[pattern.site].demands[k]] : [])),
    ),
  );
  return [...demands].map((demand) => ({
    demand,
    shares: sharesOf(problem, model, demand, made[demand]).map(({ order, left }) => ({
      strips: left,
      rush: order !== undefined && problem.orders[order].priority === 'rush',
      day: dueDay(problem, order),
    })),
  }));
}

function dueDay(problem: Problem, order: number | undefined): number {
  const dueOn = order === undefined ? undefined : problem.orders[order].dueOn;
  return problem.planOn && dueOn ? daysBetween(problem.planOn, dueOn) : NEVER;
}

function jobOf(
  problem: Problem,
  model: Model,
  dues: Due[],
  pattern: Pattern,
  sets: number,
  setting: number,
): Job {
  const { demands, place } = model.sites[pattern.site];
  const { slitter } = place;
  const used = pattern.counts.flatMap((n, k) => (n > 0 ? [{ demand: demands[k], strips: n }] : []));
  const orders = used.flatMap(({ demand }) => model.demands[demand].orders);
  return {
    pattern,
    site: pattern.site,
    sets,
    setting,
    minutesPerSet: setMinutes({ ...slitter, lengthM: mmToM(place.lengthMm) }) + slitter.minutesPerSetChange,
    gives: used.map(({ demand, strips }) => ({
      due: dues.findIndex((due) => due.demand === demand),
      strips,
    })),
    urgency: orders.map((order) => urgency(problem, order)).sort()[0] ?? '9',
  };
}

function rollsByLayout(problem: Problem, model: Model, plan: IntegerPlan, slitter: Slitter): RollKind[] {
  return plan.layouts.flatMap(({ layout, times }) => {
    const source = model.sources[layout.source];
    if (source.slitter.id !== slitter.id || times === 0 || setsOf(model, layout).size === 0) return [];
    const chunks = source.bad.length > 0 ? inOrder(source, layout) : inAnyOrder(model, layout);
    return [{ source, chunks, count: times, readyAt: readyAt(problem, source) }];
  });
}

function inAnyOrder(model: Model, layout: Layout): Chunk[] {
  return [...setsOf(model, layout)].map(([site, sets]) => ({ site, sets, startsMm: undefined }));
}

/** Bad places say where each set lies. A roll that is coated first is walked from its inner end. */
function inOrder(source: Source, layout: Layout): Chunk[] {
  const { edges, positionsMm } = source.paths;
  const steps = layout.path.map((e) => edges[e]).filter((edge) => edge.site >= 0);
  const slots = source.coats
    ? steps
        .map(({ site, to }) => ({ site, startMm: layout.endMm + source.startMm - positionsMm[to] }))
        .reverse()
    : steps.map(({ site, from }) => ({ site, startMm: positionsMm[from] }));
  const chunks: (Chunk & { startsMm: number[] })[] = [];
  for (const { site, startMm } of slots) {
    const last = chunks.at(-1);
    if (last?.site === site) last.startsMm.push(startMm);
    else chunks.push({ site, sets: 0, startsMm: [startMm] });
  }
  return chunks.map((chunk) => ({ ...chunk, sets: chunk.startsMm.length }));
}

/** Where a set takes a whole roll, each set has its own. */
function wholeRolls(problem: Problem, model: Model, sets: IntegerPlan['sets']): RollKind[] {
  const bySite = new Map<number, number>();
  for (const { pattern, times } of sets) {
    if (model.sites[pattern.site].wholeRollOf === undefined) continue;
    bySite.set(pattern.site, (bySite.get(pattern.site) ?? 0) + times);
  }
  return [...bySite].map(([site, count]) => {
    const source = model.sources[model.sites[site].wholeRollOf as number];
    return {
      source,
      chunks: [{ site, sets: 1, startsMm: undefined }],
      count,
      readyAt: readyAt(problem, source),
    };
  });
}

function readyAt(problem: Problem, source: Source): number {
  if (!problem.planOn || !source.readyOn) return 0;
  return Math.max(0, daysBetween(problem.planOn, source.readyOn)) * MINUTES_PER_DAY;
}

/** Base rolls have their date for the coater, which is not the slitter's business. */
function useByDays(problem: Problem, model: Model): Work['useByDay'] {
  const { planOn } = problem;
  const dated = new Map(
    problem.rolls.flatMap((roll) =>
      planOn && roll.useBy && roll.kind !== 'base' ? [[roll.id, daysBetween(planOn, roll.useBy)]] : [],
    ),
  );
  if (dated.size === 0) return () => NEVER;
  return (stock, k) => {
    if (k >= model.stock[stock].count) return NEVER;
    const name = model.stock[stock].nameOf(k);
    return dated.get(name) ?? dated.get(name.replace(/#\d+$/, '')) ?? NEVER;
  };
}
