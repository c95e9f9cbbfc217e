// The plans made so far, and two of them side by side.
import type { RequestHandler } from 'express';
import type { Plan } from '../../domain/plan.ts';
import { knifeMovesOf, rollsUsed, setUpsOf } from '../../domain/planCounts.ts';
import { comparePlans, type PlanComparison } from '../../usecases/planning/comparePlans.ts';
import { listPlans, type PlanSummary } from '../../usecases/planning/listPlans.ts';
import { Problem } from '../errors.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { andList, count, grouped } from '../words.ts';
import { clockTime, frozenProblem, manyOf, planNumber } from './planForms.ts';
import { drawnFields } from './planTables.ts';
import { money, moneyDown, percentUp } from './planWords.ts';

const PAGE = 50;

const STATUS_WORDS: Record<PlanSummary['status'], string> = {
  queued: 'waits',
  running: 'is being planned',
  done: 'ready',
  failed: 'failed',
  cancelled: 'cancelled',
};
/** How a finished plan came out: "proved best", "2 orders fall short, 1 is late". */
function outcomeWords({ status, shortOrders, lateOrders }: NonNullable<PlanSummary['outcome']>): string {
  const proved = status === 'best' ? 'proved best' : '';
  const short = shortOrders > 0 ? count(shortOrders, 'order falls short', 'orders fall short') : '';
  const late = lateOrders > 0 ? count(lateOrders, 'order is late', 'orders are late') : '';
  const said = [proved, short, late].filter((words) => words !== '');
  return said.length > 0 ? said.join(', ') : 'all met';
}

/** One plan as lists show it. */
export function planLine(plan: PlanSummary) {
  const { outcome } = plan;
  return {
    id: plan.id,
    title: plan.title,
    madeAt: clockTime(plan.createdAt),
    status: outcome ? outcomeWords(outcome) : STATUS_WORDS[plan.status],
    mark:
      plan.status === 'failed'
        ? 'stop'
        : outcome && outcome.shortOrders + outcome.lateOrders > 0
          ? 'look'
          : plan.status === 'cancelled'
            ? 'calm'
            : '',
    ready: outcome !== undefined,
    cost: outcome ? money(outcome.cost) : '',
    // Where something is short the gap is one of what is missing, not of money.
    gap: outcome && outcome.status !== 'short' ? percentUp(outcome.gapPct) : '',
    setUps: outcome ? grouped(outcome.setUps) : '',
    takes: outcome ? `costs ${money(outcome.cost)} with ${count(outcome.setUps, 'set-up')}` : '',
    parentId: plan.parentId,
  };
}

/** GET /plans/all: every plan, newest first; tick two to compare. */
export function plansPage(services: Services): RequestHandler {
  return async (req, res) => {
    const page = req.query.page === undefined ? 1 : planNumber(req.query.page);
    const { rows, total } = await listPlans(services.db, { page, pageSize: PAGE });
    showPage(req, res, 'plans/all', {
      title: 'Plans',
      plans: rows.map(planLine),
      total: grouped(total),
      page,
      last: Math.max(1, Math.ceil(total / PAGE)),
    });
  };
}

/** GET /plans/compare?plan=1&plan=2 */
export function comparePage(services: Services): RequestHandler {
  return async (req, res) => {
    const ids = [...new Set(manyOf(req.query.plan).map(planNumber))];
    if (ids.length !== 2)
      throw new Problem(
        422,
        `Two plans can be compared, and ${ids.length === 1 ? 'one was' : `${ids.length} were`} chosen.`,
        'Go back to the list of plans and tick two of them that are ready.',
      );
    const compared = await comparePlans(services.db, Math.min(...ids), Math.max(...ids));
    showPage(req, res, 'plans/compare', {
      title: `Plans ${compared.left.id} and ${compared.right.id}`,
      left: planLine(compared.left),
      right: planLine(compared.right),
      words: comparisonWords(compared),
      rows: comparisonRows(compared),
      sides: [compared.left, compared.right].map(({ id, plan, problem }) => ({
        id,
        fields: drawnFields(plan, frozenProblem(id, problem), `plan-${id}-`),
      })),
    });
  };
}

/** Whether the two are the same problem and the same plan, in a sentence. */
function comparisonWords(compared: PlanComparison): string {
  const { left, right, sameProblem, samePlan, sameRuns } = compared;
  const again =
    right.parentId === left.id ? `Plan ${right.id} is plan ${left.id} run again from the same problem` : '';
  if (compared.onCurve)
    return `Both plans are for the same problem, and they lie on one curve of cost against set-ups: neither is better in both.`;
  if (!sameProblem && right.parentId === left.id) return aroundWords(compared);
  if (!sameProblem)
    return 'The two plans answer different problems, so their costs are not for the same work.';
  const problem = again || 'Both plans are for the same problem';
  if (samePlan) return `${problem}, and it gave the same plan, equal in every figure.`;
  if (sameRuns) return `${problem}, and the runs are the same; only what was proved about them differs.`;
  return `${problem}, but the plans differ${left.plan.stopped === 'time' || right.plan.stopped === 'time' ? ': a time limit cut the search short' : ''}.`;
}

/** A plan made again around what was set up: what was kept, what was left alone, and how much of the setting up is new. */
function aroundWords({ left, right, setUps }: PlanComparison): string {
  const kept = right.problem.locks?.length ?? 0;
  const before = left.problem.limits?.excludeRolls ?? [];
  const failed = (right.problem.limits?.excludeRolls ?? []).filter((roll) => !before.includes(roll));
  const without = failed.length > 0 ? `, without ${andList(failed)}` : '';
  const fresh =
    setUps.fresh === 0 ? 'none is new' : `${grouped(setUps.fresh)} ${setUps.fresh === 1 ? 'is' : 'are'} new`;
  return `Plan ${right.id} is plan ${left.id} planned again around ${count(kept, 'kept run')}${without}. Of its knife settings ${grouped(setUps.same)} ${setUps.same === 1 ? 'is' : 'are'} the same as before, ${fresh}.`;
}

function comparisonRows({ left, right }: PlanComparison) {
  const row = (name: string, of: (plan: Plan) => number, write: (value: number) => string) => {
    const [a, b] = [of(left.plan), of(right.plan)];
    const by = b - a;
    return {
      name,
      left: write(a),
      right: write(b),
      by: Math.abs(by) < 1e-9 ? '' : `${by > 0 ? '+' : ''}${write(by)}`,
    };
  };
  const whole = (value: number) => grouped(value, 0);
  const rollsShort = (plan: Plan) => plan.orders.reduce((total, order) => total + order.short, 0);
  const short = [left, right].some(({ plan }) => plan.cost.short > 0);
  const buys = [left, right].some(({ plan }) => plan.purchases.length > 0);
  const sum = (plan: Plan, of: (run: Plan['runs'][number]) => number) =>
    plan.runs.reduce((total, run) => total + of(run), 0);
  return [
    row('Cost of what is made', (plan) => plan.cost.total - plan.cost.short, money),
    // Falling short is priced far above any film: a bound with it in is no money to compare.
    ...(short
      ? [row('Rolls short', rollsShort, whole)]
      : [row('No plan costs below (proved)', (plan) => plan.bound.cost, moneyDown)]),
    row('Film and coating used, less fillers', (plan) => plan.cost.material + plan.cost.purchases, money),
    ...(buys ? [row('To pay for film bought', (plan) => plan.cost.purchases, money)] : []),
    row('Set-ups and running', (plan) => plan.cost.setups + plan.cost.running, money),
    row('Rolls used', (plan) => rollsUsed(plan).size, whole),
    row('Set-ups', setUpsOf, whole),
    row('Sets', (plan) => sum(plan, (run) => run.sets), whole),
    row('Knife moves', knifeMovesOf, whole),
    row('Slitter minutes', (plan) => sum(plan, (run) => run.minutes), whole),
    row('Orders that fall short', (plan) => plan.orders.filter((order) => order.short > 0).length, whole),
    row('Orders that are late', (plan) => plan.orders.filter((order) => order.lateDays > 0).length, whole),
    row(
      'Film taken in, m²',
      (plan) => plan.yield.inputM2,
      (value) => grouped(value, 1),
    ),
    row(
      'Edge trim and waste strips, m²',
      (plan) => plan.yield.edgeTrimM2 + plan.yield.wasteStripM2,
      (value) => grouped(value, 1),
    ),
    row(
      'Area that became ordered rolls, %',
      (plan) => plan.yield.areaYieldPct,
      (value) => grouped(value, 1),
    ),
  ];
}
