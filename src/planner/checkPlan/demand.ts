// What comes out for each order and filler: rolls counted from strips x sets, held against the accepted quantity.
// Short is what is missing to the least accepted quantity, over what exceeds the ordered one.
import type { Order } from '../../domain/problem.ts';
import { mmToUm } from '../../domain/units.ts';
import type { Clause, Facts, PlanFault, RunFacts } from './facts.ts';
import { fault } from './facts.ts';

/** Rolls of this order that the runs make. */
export function plannedRolls(facts: Facts, order: Order): number {
  const counted = counts.get(facts) ?? countOrders(facts);
  counts.set(facts, counted);
  return counted.get(order) ?? 0;
}

/** Counted once for each plan: there may be thousands of orders and runs. */
const counts = new WeakMap<Facts, Map<Order, number>>();

function countOrders({ runs }: Facts): Map<Order, number> {
  const counted = new Map<Order, number>();
  for (const { run, strips } of runs) {
    for (const { order } of strips) if (order) counted.set(order, (counted.get(order) ?? 0) + run.sets);
  }
  return counted;
}

function countRolls(runs: RunFacts[], isOurs: (strip: RunFacts['strips'][number]) => boolean): number {
  return runs.reduce((sum, { run, strips }) => sum + run.sets * strips.filter(isOurs).length, 0);
}

export function shortRolls(facts: Facts, order: Order): number {
  return Math.max(0, order.minRolls - plannedRolls(facts, order));
}

const everyOrderOnce: Clause = ({ problem, plan }) => {
  const known = new Set(problem.orders.map(({ id }) => id));
  const seen = new Set<string>();
  const faults: PlanFault[] = [];
  plan.orders.forEach(({ id }, index) => {
    if (!known.has(id) || seen.has(id))
      faults.push(fault(`orders[${index}].id`, 'each-order-once', 'an order, once', id));
    seen.add(id);
  });
  for (const id of known)
    if (!seen.has(id)) faults.push(fault('orders', 'each-order-once', `an entry for ${id}`, 'none'));
  return faults;
};

const quantities: Clause = (facts) => {
  const orders = new Map(facts.problem.orders.map((order) => [order.id, order]));
  return facts.plan.orders.flatMap((outcome, index) => {
    const order = orders.get(outcome.id);
    if (!order) return [];
    const where = `orders[${index}]`;
    const planned = plannedRolls(facts, order);
    const expected = {
      ordered: order.rolls,
      planned,
      over: Math.max(0, planned - order.rolls),
      short: shortRolls(facts, order),
    };
    const faults = (['ordered', 'planned', 'over', 'short'] as const)
      .filter((field) => outcome[field] !== expected[field])
      .map((field) => fault(`${where}.${field}`, `order-${field}`, expected[field], outcome[field]));
    if (planned > order.maxRolls)
      faults.push(fault(`${where}.planned`, 'over-tolerance', `at most ${order.maxRolls}`, planned));
    return faults;
  });
};

const reasons: Clause = ({ plan }) =>
  plan.orders.flatMap(({ short, lateDays, reasons: given }, index) =>
    (short > 0 || lateDays > 0) && !given.some((reason) => reason.trim() !== '')
      ? [fault(`orders[${index}].reasons`, 'reasons', 'why it falls short or is late', 'none')]
      : [],
  );

const fillerCounts: Clause = ({ problem, runs }) =>
  problem.fillers.flatMap((filler, index) => {
    const made = countRolls(runs, (strip) => strip.filler === filler);
    return made > filler.maxRolls
      ? [fault('runs', 'filler-count', `at most ${filler.maxRolls} of filler ${index}`, made)]
      : [];
  });

/** A pattern is one place of the knives on one slitter: who gets the strips and how long they are does not matter. */
const patternCount: Clause = ({ problem, runs }) => {
  const patterns = new Set(
    runs.map(({ run, strips }) =>
      JSON.stringify([run.slitter, mmToUm(run.trimLeftMm), ...strips.map((strip) => strip.toUm)]),
    ),
  );
  return patterns.size > problem.maxPatterns
    ? [fault('runs', 'max-patterns', `at most ${problem.maxPatterns}`, patterns.size)]
    : [];
};

export const demandClauses: Clause[] = [everyOrderOnce, quantities, reasons, fillerCounts, patternCount];
