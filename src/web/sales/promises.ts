// Promises and quotes: what is held and until when, to accept or withdraw; promised against actual, by customer and by
// order.
import type { RequestHandler } from 'express';
import { acceptQuote } from '../../usecases/sales/acceptQuote.ts';
import { type PromiseSeen, readPromises } from '../../usecases/sales/readPromises.ts';
import { withdrawQuote } from '../../usecases/sales/withdrawQuote.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { count, grouped, rowHref } from '../words.ts';

/** GET /promises */
export function promisesPage(services: Services): RequestHandler {
  return async (req, res) => {
    const { lines, customers } = await readPromises(services.db, services.today());
    const held = lines.filter((line) => line.held);
    showPage(req, res, 'promises', {
      title: 'Promises and quotes',
      under: '/answer',
      answer: answerOf(lines, held),
      held: held.map(lineModel),
      lines: lines.filter((line) => !line.held).map(lineModel),
      customers: customers.map((one) => ({
        ...one,
        href: rowHref('customers', one.customer),
        meanLate: one.meanLateDays === undefined ? '' : grouped(one.meanLateDays, 1),
      })),
    });
  };
}

function answerOf(lines: readonly PromiseSeen[], held: readonly PromiseSeen[]): string {
  const overdue = lines.filter((line) => !line.madeOn && (line.lateDays ?? 0) > 0).length;
  const quotes =
    held.length === 0 ? 'No quote is held' : `${count(held.length, 'quote is', 'quotes are')} held`;
  const late =
    overdue === 0
      ? 'no promise is overdue'
      : `${count(overdue, 'promise is', 'promises are')} past the promised day and not made`;
  return `${quotes}; ${late}.`;
}

function lineModel(line: PromiseSeen) {
  return {
    order: line.order,
    href: rowHref('orders', line.order),
    acknowledgeHref: `/acknowledge/${encodeURIComponent(line.order)}`,
    actionHref: `/promises/${encodeURIComponent(line.order)}`,
    customer: line.customerName,
    size: `${grouped(line.rolls)} x ${grouped(line.widthUm / 1000)} mm x ${grouped(line.lengthMm / 1000)} m ${line.product}`,
    by: line.by,
    at: clockTime(line.at),
    until: line.until ? clockTime(line.until) : '',
    promisedOn: line.promisedOn ?? '',
    madeOn: line.madeOn ?? '',
    dispatchedOn: line.dispatchedOn ?? '',
    ...outcomeOf(line),
  };
}

function outcomeOf({ kind, ended, lateDays, madeOn, status }: PromiseSeen): {
  outcome: string;
  mark: string;
} {
  if (ended) return { outcome: `quote ${ended}`, mark: '' };
  if (status === 'cancelled') return { outcome: 'cancelled', mark: '' };
  if (kind === 'quote') return { outcome: 'held', mark: 'look' };
  if (madeOn && (lateDays ?? 0) <= 0)
    return { outcome: lateDays ? `${count(-lateDays, 'day')} early` : 'in time', mark: '' };
  if (madeOn) return { outcome: `${count(lateDays ?? 0, 'day')} late`, mark: 'stop' };
  return (lateDays ?? 0) > 0
    ? { outcome: `${count(lateDays ?? 0, 'day')} overdue`, mark: 'stop' }
    : { outcome: 'to be made', mark: '' };
}

/** POST /promises/:order/accept */
export function acceptPost({ db }: Services): RequestHandler {
  return async (req, res) => {
    await acceptQuote(db, String(req.params.order));
    res.redirect(303, `/acknowledge/${encodeURIComponent(String(req.params.order))}`);
  };
}

/** POST /promises/:order/withdraw */
export function withdrawPost({ db }: Services): RequestHandler {
  return async (req, res) => {
    await withdrawQuote(db, String(req.params.order));
    res.redirect(303, '/promises');
  };
}
