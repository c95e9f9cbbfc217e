// Why an order falls short or comes late, in plain words: the limit that refuses it, the film that is missing, or the
// days that were not enough.
import type { OrderOutcome, Plan, Purchase } from '../../domain/plan.ts';
import type { Order, Problem } from '../../domain/problem.ts';
import { areaM2, umToMm } from '../../domain/units.ts';
import type { Model } from '../model/model.ts';
import { isExpired } from '../model/sources.ts';

/** What the plan makes, to tell what a late order waits for. */
export interface Made extends Pick<Plan, 'runs' | 'purchases'> {
  /** The rolls that each order is cut from: ids, or offers' ids. */
  rollsOf: Map<string, Set<string>>;
  /** The plan was cut short by time. */
  outOfTime: boolean;
}

/** For each order the rolls, without their numbers, that its strips are cut from. */
export function rollsByOrder(runs: Plan['runs']): Made['rollsOf'] {
  const rollsOf: Made['rollsOf'] = new Map();
  for (const { strips, from } of runs) {
    for (const { order } of strips) {
      if (order === undefined) continue;
      const own = rollsOf.get(order) ?? new Set();
      for (const { roll } of from) own.add(roll.replace(/#\d+$/, ''));
      rollsOf.set(order, own);
    }
  }
  return rollsOf;
}

export function reasonsFor(
  problem: Problem,
  model: Model,
  outcome: OrderOutcome,
  index: number,
  { runs, purchases, rollsOf, outOfTime }: Made,
): string[] {
  const order = problem.orders[index];
  const reasons: string[] = [];
  if (outcome.short > 0)
    reasons.push(...whyShort(problem, model, order, index, outcome.short, runs, outOfTime));
  if (outcome.lateDays > 0) {
    reasons.push(
      `its last run ends on ${outcome.readyOn}, ${days(outcome.lateDays)} after it is due (${order.dueOn})`,
      ...filmAwaited(problem, order, rollsOf, purchases),
    );
  }
  return reasons;
}

/** The purchases, arriving too late, that its runs take film from. */
function filmAwaited(
  problem: Problem,
  order: Order,
  rollsOf: Made['rollsOf'],
  purchases: Purchase[],
): string[] {
  const offers = problem.offers.filter((offer) => rollsOf.get(order.id)?.has(offer.id));
  return offers.flatMap(({ id, supplier, grade }) => {
    const line = purchases.find(
      ({ offer, arrivesOn }) => offer === id && arrivesOn && arrivesOn > (order.dueOn ?? ''),
    );
    if (!line) return [];
    return [
      `it waits for film ${grade} from ${supplier || id}, ordered on ${line.orderBy}, arriving on ${line.arrivesOn}`,
    ];
  });
}

const days = (n: number) => (n === 1 ? '1 day' : `${n} days`);

function whyShort(
  problem: Problem,
  model: Model,
  order: Order,
  index: number,
  short: number,
  runs: Plan['runs'],
  outOfTime: boolean,
): string[] {
  const demand = model.demands.findIndex((candidate) => candidate.orders.includes(index));
  const sites = model.sites.filter((site) => site.demands.includes(demand));
  const refused = model.refusals.get(index) ?? [];
  if (sites.length === 0) return refused.length > 0 ? refused : [noRoll(problem, order)];
  const limit = patternLimit(problem, runs);
  const left = filmIsLeft(model, demand, runs);
  if (limit && left) return [limit];
  if (outOfTime && left) {
    return [
      `time was up before ${rolls(short)} of ${umToMm(order.widthUm)} mm had a place: plan again with more time`,
    ];
  }
  const missing = short * areaM2(order.widthUm, order.lengthMm);
  const film = `the rolls of ${order.product} do not reach: ${rolls(short)} of ${umToMm(order.widthUm)} mm (${missing.toFixed(1)} m2) are missing`;
  return [film, ...(limit ? [limit] : []), ...expired(problem, order)];
}

/** Once the plan has as many patterns as it may, another order's strips find no place of the knives. */
function patternLimit({ maxPatterns }: Problem, runs: Plan['runs']): string | undefined {
  const knives = ({ slitter, trimLeftMm, strips }: Plan['runs'][number]) =>
    JSON.stringify([slitter, trimLeftMm, ...strips.map(({ toMm }) => toMm)]);
  if (new Set(runs.map(knives)).size < maxPatterns) return undefined;
  if (maxPatterns === 0) return 'no further pattern may be set up';
  return `at most ${maxPatterns === 1 ? '1 pattern' : `${maxPatterns} patterns`} may be set up, and making all of it would take more`;
}

/** Whether a roll, or one on offer, from which the demand can be cut is not used. */
function filmIsLeft(model: Model, demand: number, runs: Plan['runs']): boolean {
  const used = new Set(runs.flatMap((run) => run.from.map(({ roll }) => roll)));
  return model.sources.some((source) => {
    const serves = source.paths.edges.some(
      ({ site }) => site >= 0 && model.sites[site].demands.includes(demand),
    );
    const { count, nameOf } = model.stock[source.stock];
    return (
      serves &&
      Array.from({ length: Math.min(count, used.size + 1) }, (_, k) => nameOf(k)).some(
        (name) => !used.has(name),
      )
    );
  });
}

const rolls = (n: number) => (n === 1 ? '1 roll' : `${n} rolls`);

function noRoll(problem: Problem, order: Order): string {
  const own = problem.rolls.filter((roll) => roll.kind !== 'base' && roll.item === order.product);
  if (own.length === 0 && !problem.rolls.some((roll) => roll.kind === 'base') && problem.offers.length === 0)
    return `there is no coated roll of ${order.product} to cut it from`;
  if (own.length === 0)
    return `there is no roll of ${order.product}, and no film to coat it on that is wide and long enough`;
  const [why] = expired(problem, order);
  if (own.every((roll) => isExpired(roll, problem)) && why) return why;
  return `no roll of ${order.product} is long enough for ${order.lengthMm / 1000} m with its lead-in and tail`;
}

function expired(problem: Problem, order: Order): string[] {
  const old = problem.rolls.filter((roll) => roll.item === order.product && isExpired(roll, problem));
  return old.map((roll) => `roll ${roll.id} may not be used: its use-by date was ${roll.useBy}`);
}
