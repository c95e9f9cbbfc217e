// The steps of a purchase order after it is drafted: send (print and CSV), what the supplier confirmed, close, cancel; and
// what late film does to orders and customers.
import type { Request, RequestHandler } from 'express';
import { filmMassKg } from '../../domain/filmMath.ts';
import { CONFIRM_FIELDS, mayStep } from '../../domain/purchaseOrder.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { mmToM, umToMm } from '../../domain/units.ts';
import { type ConfirmFault, confirmPurchaseOrder } from '../../usecases/buying/confirmPurchaseOrder.ts';
import { lateFilm } from '../../usecases/buying/lateFilm.ts';
import { movePurchaseOrder } from '../../usecases/buying/movePurchaseOrder.ts';
import { type OrderProgress, openPurchaseOrder } from '../../usecases/buying/readPurchaseOrders.ts';
import { planLateFilm } from '../../usecases/planning/planLateFilm.ts';
import { getRow } from '../../usecases/tables/listRows.ts';
import { csvFile } from '../csvLines.ts';
import { lateWords, orderHref, outcomeWords } from '../lateFilmWords.ts';
import { showPage } from '../page.ts';
import type { Services } from '../services.ts';
import type { TypedTexts } from '../tables/fieldInputs.ts';
import { grouped, rowHref } from '../words.ts';

/** POST /purchase-orders/:code/send, /close, /cancel. */
export function stepPost(services: Services, step: 'send' | 'close' | 'cancel'): RequestHandler {
  return async (req, res) => {
    const code = await movePurchaseOrder(services.db, String(req.params.code), step, services.today());
    res.redirect(303, `${orderHref(code)}?did=${step}`);
  };
}

/** POST /purchase-orders/:code/replan: plans the orders again that its late film hits. */
export function replanPost(services: Services): RequestHandler {
  return async (req, res) => {
    const { code } = await openPurchaseOrder(services.db, String(req.params.code));
    const plan = await planLateFilm(services.db, code, services.today());
    services.jobs.wake();
    res.redirect(303, `/plans/${plan}`);
  };
}

/** What each step that may be taken now is called. */
export function stepsOf(order: OrderProgress) {
  const may = (step: Parameters<typeof mayStep>[0]): boolean => mayStep(step, order);
  return { send: may('send'), confirm: may('confirm'), close: may('close'), cancel: may('cancel') };
}

/** GET /purchase-orders/:code/confirm. */
export function confirmForm(services: Services): RequestHandler {
  return async (req, res) => {
    const order = await openPurchaseOrder(services.db, String(req.params.code));
    const typed = new Map(
      order.lines.map(({ line, confirmedOn, wantedOn, confirmedRolls, rolls }) => [
        line,
        { confirmedOn: confirmedOn ?? wantedOn ?? '', confirmedRolls: String(confirmedRolls ?? rolls) },
      ]),
    );
    showPage(req, res, 'purchaseOrders/confirm', confirmModel(order, typed, []));
  };
}

/** POST /purchase-orders/:code/confirm. */
export function confirmPost(services: Services): RequestHandler {
  return async (req, res) => {
    const order = await openPurchaseOrder(services.db, String(req.params.code));
    const typed = typedOf(order, req);
    const done = await confirmPurchaseOrder(services.db, order.code, typed);
    if (!done.ok)
      return showPage(req, res, 'purchaseOrders/confirm', confirmModel(order, typed, done.faults), 422);
    res.redirect(303, `${orderHref(done.code)}?did=confirm`);
  };
}

function typedOf(order: OrderProgress, req: Request): Map<number, TypedTexts> {
  const body = (req.body ?? {}) as Record<string, unknown>;
  return new Map(
    order.lines.map(({ line }) => [
      line,
      Object.fromEntries(CONFIRM_FIELDS.map(({ name }) => [name, String(body[`${name}-${line}`] ?? '')])),
    ]),
  );
}

function confirmModel(
  order: OrderProgress,
  typed: ReadonlyMap<number, TypedTexts>,
  faults: readonly ConfirmFault[],
) {
  return {
    title: `What is confirmed of ${order.code}`,
    under: '/buy',
    code: order.code,
    href: orderHref(order.code),
    lines: order.lines.map((line) => ({
      line: line.line,
      what: `${line.grade} ${grouped(umToMm(line.widthUm))} mm x ${grouped(mmToM(line.lengthMm))} m`,
      rolls: grouped(line.rolls),
      wantedOn: line.wantedOn ?? '',
      cells: CONFIRM_FIELDS.map((field) => ({
        id: `${field.name}-${line.line}`,
        label: `${field.label}, line ${line.line}`,
        value: typed.get(line.line)?.[field.name] ?? '',
        date: field.kind === 'date',
        fault: faults.find((fault) => fault.line === line.line && fault.field === field.name),
      })),
    })),
    faults: faults.map((fault) => ({
      ...fault,
      where: `Line ${fault.line}, ${fault.column}`,
      at: `${fault.field}-${fault.line}`,
    })),
  };
}

/** GET /purchase-orders/:code/print: for the supplier, A4 or Letter. */
export function orderSheet(services: Services): RequestHandler {
  return async (req, res) => {
    const order = await openPurchaseOrder(services.db, String(req.params.code));
    const lines = await sheetLines(services, order);
    const costs = lines.map(({ cost }) => cost);
    showPage(req, res, 'purchaseOrders/sheet', {
      title: `Purchase order ${order.code}`,
      under: '/buy',
      order,
      href: orderHref(order.code),
      currency: order.currency,
      lines: lines.map((line) => ({
        ...line,
        width: grouped(line.widthMm),
        length: grouped(line.lengthM),
        kg: grouped(line.kg, 1),
        price: line.price?.toFixed(2) ?? 'as agreed',
        cost: line.cost === null ? '' : cents(line.cost),
      })),
      total: costs.every((cost) => cost !== null)
        ? cents(costs.reduce((a: number, b) => a + (b ?? 0), 0))
        : '',
      kg: grouped(
        lines.reduce((sum, { kg }) => sum + kg, 0),
        1,
      ),
    });
  };
}

/** What is ordered is written to the cent. */
const cents = (amount: number): string =>
  amount.toLocaleString('en-GB', { minimumFractionDigits: 2, maximumFractionDigits: 2 });

async function sheetLines(services: Services, order: OrderProgress) {
  return Promise.all(
    order.lines.map(async (line) => {
      const grade = (await getRow(services.db, RESOURCES.grades, line.grade)) ?? {};
      const web = { widthMm: umToMm(line.widthUm), lengthM: mmToM(line.lengthMm) };
      const thicknessUm = Number(grade.thicknessUm);
      const kg =
        line.rolls * filmMassKg({ ...web, thicknessUm, densityGPerCm3: Number(grade.densityGPerCm3) });
      return {
        line: line.line,
        grade: line.grade,
        film: `${grade.polymer} ${grouped(thicknessUm)} um${grade.surface ? `, ${grade.surface}` : ''}`,
        offer: line.offer ?? '',
        ...web,
        rolls: line.rolls,
        kg,
        price: line.pricePerKg,
        cost: line.pricePerKg === null ? null : kg * line.pricePerKg,
        wantedOn: line.wantedOn ?? '',
        confirmedOn: line.confirmedOn ?? '',
        confirmedRolls: line.confirmedRolls,
      };
    }),
  );
}

const HEAD = [
  'Purchase order',
  'Line',
  'Grade',
  'Film',
  'Offer',
  'Width (mm)',
  'Roll length (m)',
  'Rolls',
  'Mass (kg)',
  'Currency',
  'Price (per kg)',
  'Cost',
  'Wanted on',
  'Confirmed for',
  'Confirmed rolls',
];

/** GET /purchase-orders/:code/order.csv */
export function orderFile(services: Services): RequestHandler {
  return async (req, res) => {
    const order = await openPurchaseOrder(services.db, String(req.params.code));
    const rows = (await sheetLines(services, order)).map((line) => [
      order.code,
      line.line,
      line.grade,
      line.film,
      line.offer,
      line.widthMm,
      line.lengthM,
      line.rolls,
      line.kg,
      order.currency,
      line.price,
      line.cost,
      line.wantedOn,
      line.confirmedOn,
      line.confirmedRolls,
    ]);
    const name = order.code.replace(/[^\w.-]+/g, '_');
    res.type('text/csv').attachment(`purchase-order-${name}.csv`).send(csvFile(HEAD, rows));
  };
}

/** Late lines in words, with the orders and customers they hit and the way to plan those again. */
export async function lateModel(services: Services, code?: string) {
  return (await lateFilm(services.db, services.today(), code)).map((late) => ({
    ...lateWords(late),
    order: late.order.code,
    href: orderHref(late.order.code),
    outcome: outcomeWords(late.outcome),
    hit: late.hit.map((need) => ({
      order: need.order,
      href: rowHref('orders', need.order),
      customer: need.customerName,
      dueOn: need.dueOn ?? 'no day',
      needOn: need.needOn,
      planHref: need.plan === undefined ? '' : `/plans/${need.plan}`,
      plan: need.plan,
    })),
  }));
}
