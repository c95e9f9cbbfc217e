// Purchase orders of film: the list, one order with what has come of it, and the form for a new one.
import type { Request, RequestHandler, Response } from 'express';
import { MAY_ARRIVE, ORDER_FIELDS, ORDER_LINE_FIELDS, toCome } from '../../domain/purchaseOrder.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { createPurchaseOrder, type OrderFault } from '../../usecases/buying/createPurchaseOrder.ts';
import {
  listPurchaseOrders,
  type OrderProgress,
  openPurchaseOrder,
} from '../../usecases/buying/readPurchaseOrders.ts';
import { newestReceipts } from '../../usecases/receiving/readReceipts.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import { defaultsOf, inputsOf, type TypedTexts, typedOf } from '../tables/fieldInputs.ts';
import { rowsModel, typedRows } from '../typedRows.ts';
import { newAct, readAct } from '../whoIsAsking.ts';
import { grouped, howSoon, rowHref } from '../words.ts';
import { lateModel, stepsOf } from './purchaseSteps.ts';

const LEAST_LINES = 4;

/** GET /purchase-orders. */
export function purchaseOrdersPage(services: Services): RequestHandler {
  return async (req, res) => {
    const orders = await listPurchaseOrders(services.db);
    const today = services.today();
    showPage(req, res, 'purchaseOrders/list', {
      title: 'Purchase orders',
      under: '/buy',
      orders: orders.map((order) => ({ ...orderModel(order), next: nextArrival(order, today) })),
      late: await lateModel(services),
    });
  };
}

/** GET /purchase-orders/:code. */
export function purchaseOrderPage(services: Services): RequestHandler {
  return async (req, res) => {
    const order = await openPurchaseOrder(services.db, String(req.params.code));
    showPage(req, res, 'purchaseOrders/order', {
      title: `Purchase order ${order.code}`,
      under: '/buy',
      did: req.query.did,
      order: orderModel(order),
      steps: stepsOf(order),
      late: await lateModel(services, order.code),
      receiveHref: MAY_ARRIVE.includes(order.status)
        ? `/receive?order=${encodeURIComponent(order.code)}`
        : undefined,
      receipts: await newestReceipts(services.db, order.code),
    });
  };
}

/** GET /new/purchase-orders. */
export function newPurchaseOrder(services: Services): RequestHandler {
  return async (req, res) => {
    const head = { ...defaultsOf(ORDER_FIELDS), orderedOn: services.today() };
    await showForm(services, req, res, { head, lines: [], requestKey: newAct(req).requestKey, faults: [] });
  };
}

/** POST /new/purchase-orders: stores the order, or shows the form again; "more" only adds empty lines. */
export function savePurchaseOrder(services: Services): RequestHandler {
  return async (req, res) => {
    const body = (req.body ?? {}) as Record<string, unknown>;
    const head = typedOf(ORDER_FIELDS, body);
    const lines = typedRows('lines', ORDER_LINE_FIELDS, body);
    const { requestKey } = readAct(req, res);
    if (body.do === 'more') {
      const more = [...lines, ...Array.from({ length: LEAST_LINES }, () => ({}))];
      return showForm(services, req, res, { head, lines: more, requestKey, faults: [] });
    }
    const made = await createPurchaseOrder(services.db, { head, lines, requestKey }, services.today());
    if (!made.ok) return showForm(services, req, res, { head, lines, requestKey, faults: made.faults });
    res.redirect(303, `/purchase-orders/${encodeURIComponent(made.code)}?did=added`);
  };
}

interface FormState {
  head: TypedTexts;
  lines: TypedTexts[];
  requestKey: string;
  faults: readonly OrderFault[];
}

async function showForm(services: Services, req: Request, res: Response, state: FormState): Promise<void> {
  const { head, faults } = state;
  const headFaults = faults.filter(({ line }) => line === undefined);
  const model = {
    title: 'New purchase order',
    under: '/buy',
    inputs: await inputsOf(services, ORDER_FIELDS, head, headFaults),
    lines: await rowsModel(services, {
      list: 'lines',
      row: 'line',
      fields: ORDER_LINE_FIELDS,
      typed: state.lines,
      least: LEAST_LINES,
      faults: faults.map((fault) =>
        fault.line === undefined ? fault : { ...fault, list: 'lines', place: fault.line },
      ),
    }),
    requestKey: state.requestKey,
    faults: faults.map((fault) => ({
      ...fault,
      where: fault.line === undefined ? fault.column : `Line ${fault.line + 1}, ${fault.column}`,
      at: fault.line === undefined ? `i-${fault.field}` : `lines-${fault.field}-${fault.line}`,
    })),
  };
  showPage(req, res, 'purchaseOrders/form', model, faults.length > 0 ? 422 : 200);
}

function orderModel(order: OrderProgress) {
  return {
    ...order,
    href: `/purchase-orders/${encodeURIComponent(order.code)}`,
    supplierHref: rowHref('suppliers', order.supplier),
    ordered: order.lines.reduce((sum, { rolls }) => sum + rolls, 0),
    received: order.lines.reduce((sum, { received }) => sum + received, 0),
    lines: order.lines.map((line) => ({
      ...line,
      gradeHref: rowHref('grades', line.grade),
      width: grouped(umToMm(line.widthUm)),
      length: grouped(mmToM(line.lengthMm)),
      price: line.pricePerKg?.toFixed(2) ?? '',
      toCome: toCome(line),
    })),
  };
}

/** The first day on which something of it is still expected. */
function nextArrival(
  order: OrderProgress,
  today: string,
): { day: string; words: string; late: boolean } | undefined {
  if (order.status === 'closed' || order.status === 'cancelled') return undefined;
  const days = order.lines
    .filter((line) => toCome(line) > 0)
    .flatMap(({ confirmedOn, wantedOn }) => confirmedOn ?? wantedOn ?? []);
  const day = days.sort()[0];
  return day === undefined ? undefined : { day, words: howSoon(day, today), late: day < today };
}
