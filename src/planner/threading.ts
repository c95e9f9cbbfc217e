// The order in which rolls are threaded and sets are cut. Each roll is threaded once and cut from its outer end; a set
// pattern is kept from roll to roll as long as it has sets left; the next one is the most urgent, then the one that
// moves the fewest knives.
import { setsOf } from './columns.ts';
import type { IntegerPlan } from './integerPlan.ts';
import type { Model, Pattern, Source } from './model.ts';
import { knivesMoved, type Placed, placeStrips } from './placeStrips.ts';

/** One set as it is cut. */
export interface Cut {
  pattern: Pattern;
  placed: Placed;
  source: Source;
  roll: string;
  startMm: number;
  /** Where the set and its tail end. */
  endMm: number;
}

interface Job {
  pattern: Pattern;
  placed: Placed;
  left: number;
  urgency: string;
}

interface Roll {
  source: Source;
  name: string;
  /** Slots in order along the roll: site and start; fixed when bad places say where sets may lie. */
  slots: { site: number; startMm: number }[];
}

/** Every set of the plan in the order of cutting, one slitter after the other. */
export function threadRolls(model: Model, plan: IntegerPlan, urgencyOf: (demand: number) => string): Cut[] {
  const jobs = jobsBySite(model, plan, urgencyOf);
  const rolls = namedRolls(model, plan);
  const groups = new Map<string, Roll[]>();
  for (const roll of rolls) {
    const key = `${roll.source.readyOn}|${roll.source.slitter.id}|${roll.source.product.id}`;
    groups.set(key, [...(groups.get(key) ?? []), roll]);
  }
  const ordered = [...groups.values()].sort((a, b) =>
    compare(urgencyOfGroup(a, jobs), urgencyOfGroup(b, jobs)),
  );
  const knives = new Map<string, Set<number>>();
  return ordered.flatMap((group) => threadGroup(group, jobs, knives));
}

function jobsBySite(
  model: Model,
  plan: IntegerPlan,
  urgencyOf: (demand: number) => string,
): Map<number, Job[]> {
  const jobs = new Map<number, Job[]>();
  for (const { pattern, times } of plan.sets) {
    const { demands } = model.sites[pattern.site];
    const dues = pattern.counts.flatMap((n, k) => (n > 0 ? [urgencyOf(demands[k])] : []));
    const job = { pattern, placed: placeStrips(model, pattern), left: times, urgency: dues.sort()[0] ?? '9' };
    jobs.set(pattern.site, [...(jobs.get(pattern.site) ?? []), job]);
  }
  return jobs;
}

/** Single rolls with their slots; rolls of one stock item are named in its order, so the first to expire go first. */
function namedRolls(model: Model, plan: IntegerPlan): Roll[] {
  const taken = model.stock.map(() => 0);
  const rolls: Roll[] = [];
  const add = (source: Source, times: number, slots: Roll['slots']) => {
    for (let i = 0; i < times; i++) {
      rolls.push({ source, name: model.stock[source.stock].nameOf(taken[source.stock]++), slots });
    }
  };
  for (const { layout, times } of plan.layouts) {
    const source = model.sources[layout.source];
    const steps = layout.path.map((e) => source.paths.edges[e]).filter((edge) => edge.site >= 0);
    const { positionsMm } = source.paths;
    const slots = source.coats
      ? steps
          .map((edge) => ({ site: edge.site, startMm: layout.endMm + source.startMm - positionsMm[edge.to] }))
          .reverse()
      : steps.map((edge) => ({ site: edge.site, startMm: positionsMm[edge.from] }));
    if (setsOf(model, layout).size > 0) add(source, times, slots);
  }
  for (const { pattern, times } of plan.sets) {
    const { wholeRollOf } = model.sites[pattern.site];
    if (wholeRollOf === undefined) continue;
    const source = model.sources[wholeRollOf];
    add(source, times, [{ site: pattern.site, startMm: source.startMm }]);
  }
  return rolls;
}

function urgencyOfGroup(group: Roll[], jobs: Map<number, Job[]>): string {
  const sites = new Set(group.flatMap((roll) => roll.slots.map((slot) => slot.site)));
  const dues = [...sites].flatMap((site) => (jobs.get(site) ?? []).map((job) => job.urgency));
  return dues.sort()[0] ?? '9';
}

const compare = (a: string, b: string) => (a < b ? -1 : a > b ? 1 : 0);

function threadGroup(group: Roll[], jobs: Map<number, Job[]>, knives: Map<string, Set<number>>): Cut[] {
  const cuts: Cut[] = [];
  const waiting = [...group];
  const slitter = group[0].source.slitter;
  let current: Job | undefined;
  while (waiting.length > 0) {
    const next = waiting.findIndex((roll) => current && current.left > 0 && takes(roll, current));
    const [roll] = waiting.splice(Math.max(0, next), 1);
    let at = roll.source.startMm;
    for (const slot of inGoodOrder(roll, current)) {
      const job = chooseJob(jobs.get(slot.site) ?? [], current, knives.get(slitter.id), slitter.knivesAtUm);
      if (!job) continue;
      const startMm = roll.source.bad.length > 0 ? slot.startMm : at;
      at = startMm + lengthOf(roll, slot.site);
      cuts.push({
        pattern: job.pattern,
        placed: job.placed,
        source: roll.source,
        roll: roll.name,
        startMm,
        endMm: at,
      });
      job.left--;
      current = job;
      knives.set(slitter.id, new Set(job.placed.knivesUm));
    }
  }
  return cuts;
}

const takes = (roll: Roll, job: Job) => roll.slots.some((slot) => slot.site === job.pattern.site);

/** Without bad places the sets of a roll may be cut in any order: those of the pattern now set up come first. */
function inGoodOrder(roll: Roll, current: Job | undefined): Roll['slots'] {
  if (roll.source.bad.length > 0) return roll.slots;
  const first = (site: number) => (site === current?.pattern.site ? -1 : site);
  return [...roll.slots].sort((a, b) => first(a.site) - first(b.site));
}

function chooseJob(
  jobs: Job[],
  current: Job | undefined,
  knives: Set<number> | undefined,
  atFirst: readonly number[] | undefined,
): Job | undefined {
  const open = jobs.filter((job) => job.left > 0);
  if (current && open.includes(current)) return current;
  const before = knives ?? (atFirst && new Set<number>(atFirst));
  const ranked = open.map((job) => ({ job, moves: knivesMoved(job.placed.knivesUm, before) }));
  ranked.sort(
    (a, b) => compare(a.job.urgency, b.job.urgency) || a.moves - b.moves || b.job.left - a.job.left,
  );
  return ranked[0]?.job;
}

/** What a set takes off the roll, read from the roll's own paths. */
function lengthOf(roll: Roll, site: number): number {
  const { edges, positionsMm } = roll.source.paths;
  const edge = edges.find((candidate) => candidate.site === site);
  return edge ? positionsMm[edge.to] - positionsMm[edge.from] : 0;
}
