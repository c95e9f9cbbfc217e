// The order acknowledgement (or the quote), to print on A4 or Letter: what the customer is told of an order line.
import type { RequestHandler } from 'express';
import { acceptedRolls } from '../../domain/filmMath.ts';
import { type Acknowledged, acknowledgement } from '../../usecases/sales/readPromises.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { count, grouped, rowHref } from '../words.ts';

/** GET /acknowledge/:order */
export function acknowledgePage(services: Services): RequestHandler {
  return async (req, res) => {
    const lines = await acknowledgement(services.db, String(req.params.order));
    const [first] = lines as [Acknowledged];
    const quote = first.status === 'quoted' || (first.until !== null && first.status === 'cancelled');
    showPage(req, res, 'acknowledge', {
      title: quote ? `Quote ${first.order}` : `Order acknowledgement ${first.order}`,
      under: '/answer',
      quote,
      cancelled: first.status === 'cancelled',
      customer: first.customerName,
      customerCode: first.customer,
      today: services.today(),
      until: first.until ? clockTime(first.until) : '',
      by: first.by ?? '',
      at: first.at ? clockTime(first.at) : '',
      orderHref: rowHref('orders', first.order),
      lines: lines.map(lineModel),
    });
  };
}

function lineModel(line: Acknowledged) {
  const { minRolls, maxRolls } = acceptedRolls(line.rolls, line.overPct, line.underPct);
  return {
    order: line.order,
    product: `${line.product} ${line.productName}`,
    width: grouped(line.widthUm / 1000),
    length: grouped(line.lengthMm / 1000),
    rolls: grouped(line.rolls),
    taken:
      minRolls === maxRolls
        ? `${grouped(minRolls)} rolls`
        : `${grouped(minRolls)} to ${grouped(maxRolls)} rolls`,
    build: buildOf(line),
    day: line.dueOn ?? 'no day promised',
  };
}

/** How a roll is built: "core 25.4 mm inside, no splices". */
function buildOf({ coreInsideUm, maxSplices }: Acknowledged): string {
  const core = coreInsideUm === null ? [] : [`core ${grouped(coreInsideUm / 1000)} mm inside`];
  const splices = maxSplices === 0 ? 'no splices' : `at most ${count(maxSplices, 'splice')} a roll`;
  return [...core, splices].join(', ');
}
