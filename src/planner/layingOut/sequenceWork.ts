// What one slitter has to do, before anyone has said in which order: its jobs (a pattern, so many sets), its rolls with
// the sets that each gives, its settings of the knives, and what its strips are due. Times are working
// minutes from the beginning of the day of planning.
import { setMinutes } from '../../domain/filmMath.ts';
import type { Problem, Slitter } from '../../domain/problem.ts';
import { daysBetween, type IsoDate, mmToM } from '../../domain/units.ts';
import { type WorkDays, workDays } from '../../domain/workCalendar.ts';
import type { IntegerPlan } from '../building/integerPlan.ts';
import { setsOf } from '../model/columns.ts';
import type { Layout, Model, Pattern, Sets, Source } from '../model/model.ts';
import { knifeKey } from '../model/setups.ts';
import type { Lane } from '../model/webLanes.ts';
import { sharesOf, urgency } from './labels.ts';
import { useByOf } from './schedule.ts';

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
  /** Priority and due day of its most urgent order, as a text that sorts. */
  urgency: string;
}

/** A stretch of equal sets on a roll. */
export interface Chunk {
  site: number;
  sets: number;
  /** Where each set starts; undefined when the sets of the roll may be cut in any order. */
  startsMm: number[] | undefined;
  /** Bad metres cut out within each set; left out when there are none. */
  cutOutsMm?: number[];
  splices?: number[];
}

/** Rolls that are all used alike. */
export interface RollKind {
  source: Source;
  chunks: Chunk[];
  /** Sets of each chunk, and the sites that occur. */
  full: number[];
  sites: Set<number>;
  count: number;
  readyAt: number;
  /** Each roll gives one set, and sets of its site come from these rolls only. */
  oneSetEach?: boolean;
  /** Web that is coated for this roll: used up to here, whether sets reach so far or not. */
  coatedMm?: number;
}

/** Strips of one demand go to its orders in this order, so many to each. */
export interface Due {
  demand: number;
  shares: { strips: number; rush: boolean; day: number }[];
}

export interface Work {
  slitter: Slitter;
  /** Its calendar from the day of planning on. */
  days: WorkDays;
  jobs: Job[];
  kinds: RollKind[];
  /** One pattern of each setting, the one on the narrowest web. */
  settings: Pattern[];
  dues: Due[];
  perLateRollDay: number;
  /** Whether any roll has a use-by date. */
  dated: boolean;
  /** Day number of the use-by date of the k-th roll taken of a stock item; Infinity when it has none. */
  useByDay(stock: number, k: number): number;
}

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
    const dueOf = new Map(dues.map(({ demand }, due) => [demand, due]));
    const settings = new Map<string, number>();
    const jobs = sets.map(({ pattern, times }): Job => {
      const key = knifeKey(model, pattern);
      if (!settings.has(key)) settings.set(key, settings.size);
      return jobOf(problem, model, dueOf, pattern, times, settings.get(key) as number);
    });
    const kinds = [...rollsByLayout(problem, model, plan, slitter), ...wholeRolls(problem, model, sets)];
    return [
      {
        slitter,
        days: daysOf(problem, slitter),
        jobs,
        kinds,
        settings: [...settings.values()].map((s) => onNarrowest(model, jobs, s)),
        dues,
        perLateRollDay: problem.costs.perLateRollDay,
        dated: problem.rolls.some((roll) => roll.useBy !== undefined && roll.kind !== 'base'),
        useByDay,
      },
    ];
  });
}

/** The pattern of a setting on its narrowest web: where its knives stand there they can stand on every other. */
function onNarrowest(model: Model, jobs: Job[], setting: number): Pattern {
  const rightUm = ({ site }: Pattern) => (model.sites[site].web.at(-1) as Lane).toUm;
  return jobs
    .filter((job) => job.setting === setting)
    .map((job) => job.pattern)
    .reduce((narrowest, pattern) => (rightUm(pattern) < rightUm(narrowest) ? pattern : narrowest));
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

function duesOf(problem: Problem, model: Model, made: number[], sets: Sets): Due[] {
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
  dueOf: ReadonlyMap<number, number>,
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
      due: dueOf.get(demand) as number,
      strips,
    })),
    urgency: orders.map((order) => urgency(problem.orders[order])).sort()[0] ?? '9',
  };
}

function rollsByLayout(problem: Problem, model: Model, plan: IntegerPlan, slitter: Slitter): RollKind[] {
  return plan.layouts.flatMap(({ layout, times }) => {
    const source = model.sources[layout.source];
    if (source.slitter.id !== slitter.id || times === 0 || setsOf(model, layout).size === 0) return [];
    const chunks = source.bad.length > 0 ? inOrder(source, layout) : inAnyOrder(model, layout);
    const kind = rollKind(problem, source, chunks, times);
    return [source.coats ? { ...kind, coatedMm: layout.endMm } : kind];
  });
}

function inAnyOrder(model: Model, layout: Layout): Chunk[] {
  return [...setsOf(model, layout)].map(([site, sets]) => ({
    site,
    sets,
    startsMm: undefined,
    cutOutsMm: [],
  }));
}

/** Bad places say where each set lies. A roll that is coated first is walked from its inner end. */
function inOrder(source: Source, layout: Layout): Chunk[] {
  const { edges, positionsMm } = source.paths;
  const steps = layout.path.map((e) => edges[e]).filter((edge) => edge.site >= 0);
  const slots = source.coats
    ? steps
        .map(({ to, ...step }) => ({ ...step, startMm: layout.endMm + source.startMm - positionsMm[to] }))
        .reverse()
    : steps.map(({ from, ...step }) => ({ ...step, startMm: positionsMm[from] }));
  const chunks: (Chunk & { startsMm: number[]; cutOutsMm: number[]; splices: number[] })[] = [];
  for (const { site, startMm, cutOutMm, splices } of slots) {
    if (chunks.at(-1)?.site !== site)
      chunks.push({ site, sets: 0, startsMm: [], cutOutsMm: [], splices: [] });
    chunks.at(-1)?.startsMm.push(startMm);
    chunks.at(-1)?.cutOutsMm.push(cutOutMm);
    chunks.at(-1)?.splices.push(splices);
  }
  return chunks.map((chunk) => ({ ...chunk, sets: chunk.startsMm.length }));
}

/** Where a set takes a whole roll, each set has its own. */
function wholeRolls(problem: Problem, model: Model, sets: Sets): RollKind[] {
  const bySite = new Map<number, number>();
  for (const { pattern, times } of sets) {
    if (model.sites[pattern.site].wholeRollOf === undefined) continue;
    bySite.set(pattern.site, (bySite.get(pattern.site) ?? 0) + times);
  }
  return [...bySite].map(([site, count]) => {
    const source = model.sources[model.sites[site].wholeRollOf as number];
    const kind = rollKind(problem, source, [{ site, sets: 1, startsMm: undefined }], count);
    return { ...kind, oneSetEach: true };
  });
}

function rollKind(problem: Problem, source: Source, chunks: Chunk[], count: number): RollKind {
  const full = chunks.map((chunk) => chunk.sets);
  const sites = new Set(chunks.map((chunk) => chunk.site));
  return { source, chunks, full, sites, count, readyAt: readyAt(problem, source) };
}

const daysOf = ({ planOn }: Problem, { calendar }: Slitter) =>
  workDays(calendar, planOn ?? ('1970-01-01' as IsoDate));

function readyAt(problem: Problem, source: Source): number {
  if (!problem.planOn || !source.readyOn) return 0;
  const day = Math.max(0, daysBetween(problem.planOn, source.readyOn));
  return daysOf(problem, source.slitter).minutesBefore(day);
}

function useByDays(problem: Problem, model: Model): Work['useByDay'] {
  const { planOn } = problem;
  const useBy = useByOf(problem);
  return (stock, k) => {
    const day = k < model.stock[stock].count ? useBy(model.stock[stock].nameOf(k)) : undefined;
    return planOn && day ? daysBetween(planOn, day) : NEVER;
  };
}
