// Why an order falls short or comes late, in plain words: the limit that refuses it, the film that is missing, or the
// days that were not enough.
import type { OrderOutcome } from '../domain/plan.ts';
import type { Order, Problem } from '../domain/problem.ts';
import { areaM2, umToMm } from '../domain/units.ts';
import type { Model } from './model.ts';
import { isExpired } from './sources.ts';

export function reasonsFor(problem: Problem, model: Model, outcome: OrderOutcome, index: number): string[] {
  const order = problem.orders[index];
  const reasons: string[] = [];
  if (outcome.short > 0) reasons.push(...whyShort(problem, model, order, index, outcome.short));
  if (outcome.lateDays > 0) {
    reasons.push(
      `its last run ends on ${outcome.readyOn}, ${days(outcome.lateDays)} after it is due (${order.dueOn})`,
    );
  }
  return reasons;
}

const days = (n: number) => (n === 1 ? '1 day' : `${n} days`);

function whyShort(problem: Problem, model: Model, order: Order, index: number, short: number): string[] {
  const demand = model.demands.findIndex((candidate) => candidate.orders.includes(index));
  const sites = model.sites.filter((site) => site.demands.includes(demand));
  const refused = model.refusals.get(index) ?? [];
  if (sites.length === 0) return refused.length > 0 ? refused : [noRoll(problem, order)];
  const missing = short * areaM2(order.widthUm, order.lengthMm);
  const film = `the rolls of ${order.product} do not reach: ${rolls(short)} of ${umToMm(order.widthUm)} mm (${missing.toFixed(1)} m2) are missing`;
  return [film, ...expired(problem, order)];
}

const rolls = (n: number) => (n === 1 ? '1 roll' : `${n} rolls`);

function noRoll(problem: Problem, order: Order): string {
  const own = problem.rolls.filter((roll) => roll.kind !== 'base' && roll.item === order.product);
  if (own.length === 0) return `there is no coated roll of ${order.product} to cut it from`;
  const [why] = expired(problem, order);
  if (own.every((roll) => isExpired(roll, problem)) && why) return why;
  return `no roll of ${order.product} is long enough for ${order.lengthMm / 1000} m with its lead-in and tail`;
}

function expired(problem: Problem, order: Order): string[] {
  const old = problem.rolls.filter((roll) => roll.item === order.product && isExpired(roll, problem));
  return old.map((roll) => `roll ${roll.id} may not be used: its use-by date was ${roll.useBy}`);
}
