// The door "Plan the slitting": choose products or single orders, and ask for a plan. What was ticked and typed stays
// when something is wrong. Ticking a product stands for all its open orders, so it works without script.

import type { Request, RequestHandler, Response } from 'express';
import { areaM2, mmToM, umToMm } from '../../domain/units.ts';
import { listPlans } from '../../usecases/planning/listPlans.ts';
import { SECONDS_MOST, SECONDS_USUAL } from '../../usecases/planning/queuePlan.ts';
import { type OpenOrder, type OpenProduct, readOpenDemand } from '../../usecases/planning/readOpenDemand.ts';
import { type FieldFault, requestPlan } from '../../usecases/planning/requestPlan.ts';
import { DUE_SOON_DAYS } from '../../usecases/whatNeedsDoing.ts';
import { showPage } from '../page.ts';
import { quotesOfProducts } from '../reservedWords.ts';
import type { Services } from '../services.ts';
import { count, grouped, howSoon } from '../words.ts';
import { manyOf, oneOf } from './planForms.ts';
import { planLine } from './plansList.ts';

interface Chosen {
  products: Set<string>;
  orders: Set<string>;
  seconds: string;
  fill: boolean;
}
const RECENT = 8;
/** Orders of a product that can be ticked singly on this page; ticking the product takes all of them. */
const ORDERS_SHOWN = 100;

const chosenFrom = (given: Record<string, unknown>): Chosen => ({
  products: new Set(manyOf(given.product)),
  orders: new Set(manyOf(given.order)),
  seconds: oneOf(given.seconds),
  fill: oneOf(given.fill) === 'yes',
});

/** GET /plans: what waits to be planned; ?product= and ?order= tick beforehand. */
export function choosePage(services: Services): RequestHandler {
  return (req, res) => showChoice(services, req, res, chosenFrom(req.query), []);
}

/** POST /plans: queues a plan of what was ticked and goes to its page. */
export function choosePlan(services: Services): RequestHandler {
  return async (req, res) => {
    const chosen = chosenFrom(req.body ?? {});
    const open = await readOpenDemand(services.db, services.today());
    const ofProducts = open.filter((product) => chosen.products.has(product.code));
    const orders = [
      ...ofProducts.flatMap((product) => product.orders.map((order) => order.code)),
      ...chosen.orders,
    ];
    const asked = await requestPlan(
      services.db,
      { orders, seconds: chosen.seconds, fill: chosen.fill },
      services.today(),
    );
    if (!asked.ok) return showChoice(services, req, res, chosen, asked.faults, 422);
    services.jobs.wake();
    res.redirect(303, `/plans/${asked.id}`);
  };
}

async function showChoice(
  services: Services,
  req: Request,
  res: Response,
  chosen: Chosen,
  faults: FieldFault[],
  status = 200,
): Promise<void> {
  const open = await readOpenDemand(services.db, services.today());
  const quotes = await quotesOfProducts(services);
  const recent = await listPlans(services.db, { page: 1, pageSize: RECENT });
  const model = {
    title: 'Plan the slitting',
    scripts: ['plans.js'],
    products: open.map((product) => ({
      ...productLine(product, chosen, services.today()),
      quotes: quotes.get(product.code) ?? [],
    })),
    // Quotes of products without an open order hold rolls as well.
    otherQuotes: [...quotes].flatMap(([code, held]) => (open.some((one) => one.code === code) ? [] : held)),
    seconds: chosen.seconds,
    fill: chosen.fill,
    secondsUsual: SECONDS_USUAL,
    secondsMost: SECONDS_MOST,
    faults,
    secondsFault: faults.find((fault) => fault.field === 'seconds'),
    recent: recent.rows.map(planLine),
    morePlans: recent.total > recent.rows.length,
    plansInAll: grouped(recent.total),
  };
  showPage(req, res, 'plans/choose', model, status);
}

const wantedM2 = (order: OpenOrder) => areaM2(order.widthUm, order.lengthMm) * order.rolls;

function productLine(product: OpenProduct, chosen: Chosen, today: string) {
  const wanted = product.orders.reduce((sum, order) => sum + wantedM2(order), 0);
  const shown = product.orders.filter((order, i) => i < ORDERS_SHOWN || chosen.orders.has(order.code));
  const firstDue = product.orders.map((order) => order.dueOn).find((day) => day !== undefined);
  return {
    code: product.code,
    name: product.name,
    ticked: chosen.products.has(product.code),
    open: product.orders.some((order) => chosen.orders.has(order.code)),
    orderCount: count(product.orders.length, 'order'),
    firstDue: firstDue ? `first due ${firstDue}, ${howSoon(firstDue, today)}` : 'without a due date',
    wanted: grouped(wanted, 0),
    stock: grouped(product.stockM2, 0),
    stockRolls: count(product.stockRolls, 'roll'),
    enough: product.stockM2 >= wanted,
    orders: shown.map((order) => orderLine(order, chosen, today)),
    orderTotal: product.orders.length,
    notShown: product.orders.length - shown.length,
    allHref: `/orders?${new URLSearchParams({ product: product.code, status: 'open' })}`,
  };
}

function orderLine(order: OpenOrder, chosen: Chosen, today: string) {
  const soon = order.dueOn
    ? (Date.parse(order.dueOn) - Date.parse(today)) / 86_400_000
    : Number.POSITIVE_INFINITY;
  return {
    code: order.code,
    customer: order.customer,
    ticked: chosen.orders.has(order.code),
    widthMm: grouped(umToMm(order.widthUm)),
    lengthM: grouped(mmToM(order.lengthMm)),
    rolls: grouped(order.rolls),
    tolerance:
      order.overPct === 0 && order.underPct === 0 ? 'exact' : `+${order.overPct} / -${order.underPct} %`,
    m2: grouped(wantedM2(order), 0),
    dueOn: order.dueOn ?? '',
    due: soon < 0 ? 'late' : soon <= DUE_SOON_DAYS ? 'soon' : '',
    rush: order.priority === 'rush',
  };
}
