// What the plan says about itself: bound, gap, status, why it stopped, marginal costs. Whether the bound is true is the
// affair of the LP's certificate; here it may not contradict the plan.
import type { Clause, Facts, PlanFault } from './facts.ts';
import { differ, fault } from './facts.ts';

const format: Clause = ({ problem, plan }) => {
  const faults: PlanFault[] = [];
  if (plan.format !== 'lanewright-plan/1')
    faults.push(fault('format', 'format', 'lanewright-plan/1', plan.format));
  if (plan.currency !== problem.currency)
    faults.push(fault('currency', 'currency', problem.currency, plan.currency));
  return faults;
};

const slack = ({ plan }: Facts) => 1e-6 * Math.max(1, Math.abs(plan.cost.total));
const isClosed = (facts: Facts) => facts.plan.cost.total - facts.plan.bound.cost <= slack(facts);
const isShort = ({ plan }: Facts) => plan.orders.some(({ short }) => short > 0);

const bound: Clause = (facts) => {
  const { cost, bound: proved } = facts.plan;
  if (proved.cost > cost.total + slack(facts))
    return [fault('bound.cost', 'bound', `at most the cost, ${cost.total}`, proved.cost)];
  const gap = Math.max(0, cost.total - proved.cost);
  const gapPct = cost.total === 0 ? 100 * gap : (100 * gap) / Math.abs(cost.total);
  return differ(proved.gapPct, gapPct) ? [fault('bound.gapPct', 'gap', gapPct, proved.gapPct)] : [];
};

const status: Clause = (facts) => {
  const expected = isShort(facts) ? 'short' : isClosed(facts) ? 'best' : 'good';
  return facts.plan.status === expected ? [] : [fault('status', 'status', expected, facts.plan.status)];
};

const stopped: Clause = (facts) => {
  const { stopped: why } = facts.plan;
  if (!['proved', 'time', 'search-ended'].includes(why))
    return [fault('stopped', 'stopped', 'proved, time or search-ended', why)];
  return (why === 'proved') === isClosed(facts)
    ? []
    : [fault('stopped', 'stopped', isClosed(facts) ? 'proved' : 'time or search-ended', why)];
};

const marginal: Clause = ({ problem, plan }) => {
  const known = new Set(problem.orders.map(({ id }) => id));
  return plan.marginal.flatMap(({ order }, index) =>
    known.delete(order) ? [] : [fault(`marginal[${index}].order`, 'marginal', 'an order, once', order)],
  );
};

export const proofClauses: Clause[] = [format, bound, status, stopped, marginal];
