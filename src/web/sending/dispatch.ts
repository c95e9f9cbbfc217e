// The page of dispatch: which orders have finished rolls ready, which packages are open, what is due, what left lately.
import type { RequestHandler } from 'express';
import { dispatchBoard, type OrderToSend, type PackageLine } from '../../usecases/sending/readSending.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { count, grouped, rowHref } from '../words.ts';
import { orderLine, packageHref, ssccWords } from './sendingWords.ts';

/** GET /dispatch. */
export function dispatchPage(services: Services): RequestHandler {
  return async (req, res) => {
    const today = services.today();
    const { orders, open, sent } = await dispatchBoard(services.db);
    showPage(req, res, 'sending/dispatch', {
      title: 'Dispatch',
      did: req.query.did,
      answer: answerOf(orders, open, today),
      orders: orders.map((order) => orderLine(order, today)),
      open: open.map(packageLine),
      sent: sent.map(packageLine),
    });
  };
}

function answerOf(orders: OrderToSend[], open: PackageLine[], today: string): string {
  if (orders.length === 0 && open.length === 0) return 'No finished roll waits to be sent.';
  const ready = orders.reduce((sum, order) => sum + order.ready, 0);
  const late = orders.filter(
    ({ dueOn, status }) => dueOn !== null && dueOn < today && status !== 'done',
  ).length;
  const first = `${count(ready, 'finished roll')} to pack for ${count(orders.filter((o) => o.ready > 0).length, 'order')}; ${count(open.length, 'package')} open.`;
  return late > 0 ? `${first} ${count(late, 'order is', 'orders are')} late.` : first;
}

function packageLine(line: PackageLine) {
  return {
    sscc: ssccWords(line.sscc),
    href: packageHref(line.sscc),
    customer: line.customerName,
    orders: line.orders.filter(Boolean).map((code) => ({ code, href: rowHref('orders', code) })),
    rolls: grouped(line.rolls),
    mass: line.massKg === null ? '' : grouped(line.massKg, 2),
    when: `${clockTime(line.at)} by ${line.by}`,
  };
}
