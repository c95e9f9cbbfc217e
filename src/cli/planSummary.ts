// A plan in a few lines of words, for people at a terminal.
import type { OrderOutcome, Plan } from '../domain/plan.ts';

const STATUS = {
  best: 'the best there is (proved)',
  good: 'a valid plan, not proved to be the best',
  short: 'a valid plan, but some orders fall short',
} as const;
const STOPPED = {
  proved: 'the bound was met',
  time: 'time was up',
  'search-ended': 'the search found nothing better',
} as const;
/** Orders listed by name before the rest is only counted. */
const MOST_LISTED = 20;

/** Status, cost and bound, work, orders that are short or late with their reasons, yield. */
export function summarize(plan: Plan, seconds: number): string {
  const rolls = new Set(plan.runs.flatMap((run) => run.from.map(({ roll }) => roll))).size;
  const sets = plan.runs.reduce((sum, run) => sum + run.sets, 0);
  const troubled = plan.orders.filter(({ short, lateDays }) => short > 0 || lateDays > 0);
  const more = troubled.length - MOST_LISTED;
  const currency = plan.currency ? ` ${plan.currency}` : '';
  return [
    `Plan: ${STATUS[plan.status]}.`,
    `Cost ${number(plan.cost.total)}${currency}, bound ${number(plan.bound.cost)}${currency}, gap ${plan.bound.gapPct.toFixed(2)} %; ${STOPPED[plan.stopped]} after ${seconds.toFixed(1)} s.`,
    `${plan.runs.length} runs, ${sets} sets, ${rolls} rolls, area yield ${plan.yield.areaYieldPct.toFixed(2)} %.`,
    ...troubled.slice(0, MOST_LISTED).map(trouble),
    ...(more > 0 ? [`and ${more} more orders short or late`] : []),
    '',
  ].join('\n');
}

function trouble({ id, ordered, planned, short, lateDays, reasons }: OrderOutcome): string {
  const what = [
    short > 0 ? `${short} short (${planned} of ${ordered} planned)` : '',
    lateDays > 0 ? `${lateDays} days late` : '',
  ];
  return `${id}: ${what.filter(Boolean).join(', ')}: ${reasons.join('; ')}`;
}

function number(value: number): string {
  return value.toLocaleString('en', { maximumFractionDigits: 2 });
}
