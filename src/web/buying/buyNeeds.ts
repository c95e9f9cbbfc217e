// The need of base film by grade and week: the day on which each grade runs short, drawn over time, with the orders behind
// it. The same figures as a CSV file.
import type { Request, RequestHandler } from 'express';
import { filmNeeds, type GradeNeed } from '../../usecases/buying/filmNeeds.ts';
import { csvFile } from '../csvLines.ts';
import { drawBalance } from '../drawings/pictureBalance.ts';
import { showPage } from '../page.ts';
import { oneOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { andList, count, grouped, howSoon, rowHref } from '../words.ts';

const WEEKS_USUAL = 26;
const WEEKS_MOST = 104;
const ORDERS_SHOWN = 40;

const whole = (value: number): string => grouped(Math.round(value), 0);
const up = (value: number): string => (value > 1e-3 ? grouped(Math.ceil(value - 1e-3), 0) : '');

/** How many weeks are asked for; `fault` when it is none. */
export function weeksAsked(req: Request): { weeks: number; typed: string; fault?: string } {
  const typed = oneOf(req.query.weeks).trim();
  if (typed === '') return { weeks: WEEKS_USUAL, typed: String(WEEKS_USUAL) };
  const weeks = Number(typed);
  if (/^\d+$/.test(typed) && weeks >= 1 && weeks <= WEEKS_MOST) return { weeks, typed };
  return {
    weeks: WEEKS_USUAL,
    typed,
    fault: `"${typed}" is not a number of weeks: 1 to ${WEEKS_MOST} would be right. Shown are ${WEEKS_USUAL}.`,
  };
}

/** GET /buy/needs?weeks= */
export function needsPage(services: Services): RequestHandler {
  return async (req, res) => {
    const { weeks, typed, fault } = weeksAsked(req);
    const today = services.today();
    const needs = await filmNeeds(services.db, today, weeks);
    const busy = needs.grades.filter((one) => one.orders.length > 0 || one.buyM2 > 0 || one.net.shortOn);
    const model = {
      title: 'What film is needed',
      under: '/buy',
      answer: answerOf(needs.grades, today),
      weeks,
      typed,
      fault,
      csvHref: `/buy/needs.csv?weeks=${weeks}`,
      rows: needs.grades.map((one) => rowModel(one, today)),
      grades: busy.map(gradeModel),
      yields: needs.yields.map(({ product, share, fromPlans }) => ({
        product,
        text: `${grouped(share * 100, 1)} %`,
        fromPlans,
      })),
      withoutGrade: andList(needs.withoutGrade),
    };
    showPage(req, res, 'buying/needs', model, fault ? 422 : 200);
  };
}

function answerOf(grades: readonly GradeNeed[], today: string): string {
  const short = grades.filter(({ net }) => net.shortOn);
  const first = short[0];
  if (!first) {
    const low = grades.filter(({ net }) => net.belowSafetyOn).map(({ grade }) => grade);
    const rest =
      low.length > 0 ? ` ${andList(low)} ${low.length > 1 ? 'fall' : 'falls'} below the safety stock.` : '';
    return `No grade runs out within these weeks.${rest}`;
  }
  const day = first.net.shortOn as string;
  const others = short.length > 1 ? ` ${count(short.length, 'grade')} run short in all.` : '';
  return `${first.grade} runs short first, on ${day} (${howSoon(day, today)}).${others}`;
}

/** An area of one grade in every unit that people buy in. */
function amounts(one: GradeNeed, m2: number) {
  return {
    m2: up(m2),
    kg: up(m2 * one.kgPerM2),
    metres: one.rollWidthUm ? up(m2 / (one.rollWidthUm / 1e6)) : '',
    rolls: one.rollM2 ? up(m2 / one.rollM2) : '',
  };
}

const sizeOf = (one: GradeNeed): string =>
  one.rollWidthUm && one.rollM2
    ? `${grouped(one.rollWidthUm / 1000)} mm x ${grouped(one.rollM2 / (one.rollWidthUm / 1e6), 0)} m`
    : '';

function rowModel(one: GradeNeed, today: string) {
  const { net } = one;
  return {
    grade: one.grade,
    title: `${one.polymer} ${grouped(one.thicknessUm)} um`,
    href:
      one.orders.length > 0 || one.buyM2 > 0
        ? `#${encodeURIComponent(one.grade)}`
        : rowHref('grades', one.grade),
    short: net.shortOn ? `${net.shortOn}, ${howSoon(net.shortOn, today)}` : '',
    low: net.belowSafetyOn && net.belowSafetyOn !== net.shortOn ? net.belowSafetyOn : '',
    released: whole(one.releasedM2),
    quarantine: one.quarantineM2 > 0 ? whole(one.quarantineM2) : '',
    held: one.heldM2 > 0 ? whole(one.heldM2) : '',
    coming: one.coming.length > 0 ? whole(one.coming.reduce((m2, line) => m2 + line.areaM2, 0)) : '',
    orders: up(net.weeks.reduce((m2, week) => m2 + week.ordersM2, 0)),
    forecast: up(net.weeks.reduce((m2, week) => m2 + week.forecastM2, 0)),
    safety: up(one.safetyM2),
    buy: amounts(one, one.buyM2),
    size: sizeOf(one),
  };
}

function gradeModel(one: GradeNeed) {
  const { net } = one;
  const picture = drawBalance(
    { startM2: one.releasedM2, safetyM2: one.safetyM2, weeks: net.weeks, shortOn: net.shortOn },
    whole,
  );
  return {
    grade: one.grade,
    href: rowHref('grades', one.grade),
    title: `${one.polymer} ${grouped(one.thicknessUm)} um`,
    size: sizeOf(one),
    picture,
    pictureWords: `Stock of ${one.grade} at the end of each week, in m², when nothing more is bought: from ${whole(one.releasedM2)} today to ${whole(net.weeks.at(-1)?.endM2 ?? 0)}${net.shortOn ? `; short on ${net.shortOn}` : ''}. The figures are in the table below.`,
    weeks: net.weeks
      .filter((week) => week.ordersM2 + week.forecastM2 + week.arrivesM2 + week.netM2 > 1e-3)
      .map((week) => ({
        monday: week.monday,
        orders: up(week.ordersM2),
        forecast: up(week.forecastM2),
        arrives: up(week.arrivesM2),
        end: whole(week.endM2),
        missing: week.endM2 < -1e-3,
        net: amounts(one, week.netM2),
      })),
    orders: one.orders.slice(0, ORDERS_SHOWN).map((need) => ({
      order: need.order,
      href: rowHref('orders', need.order),
      product: need.product,
      needOn: need.needOn,
      dueOn: need.dueOn ?? '',
      m2: up(need.areaM2),
      plan: need.plan,
    })),
    moreOrders: Math.max(0, one.orders.length - ORDERS_SHOWN),
    coming: [...one.coming, ...one.undated].map((line) => ({
      order: line.purchaseOrder,
      href: `/purchase-orders/${encodeURIComponent(line.purchaseOrder)}`,
      rolls: grouped(line.rolls),
      m2: whole(line.areaM2),
      day: line.confirmedOn ?? line.wantedOn ?? 'no day, not counted',
      confirmed: line.confirmedOn !== null,
    })),
  };
}

const HEAD = [
  'Grade',
  'Week of Monday',
  'Orders (m2)',
  'Forecasts beyond orders (m2)',
  'Arrives (m2)',
  'In stock at the end (m2)',
  'To buy (m2)',
  'To buy (kg)',
  'To buy (m)',
  'To buy (rolls)',
  'Roll (mm x m)',
];

/** GET /buy/needs.csv?weeks=: every grade, every week. */
export function needsFile(services: Services): RequestHandler {
  return async (req, res) => {
    const { grades } = await filmNeeds(services.db, services.today(), weeksAsked(req).weeks);
    const rows = grades.flatMap((one) =>
      one.net.weeks.map((week) => [
        one.grade,
        week.monday,
        week.ordersM2,
        week.forecastM2,
        week.arrivesM2,
        week.endM2,
        week.netM2,
        week.netM2 * one.kgPerM2,
        one.rollWidthUm && week.netM2 / (one.rollWidthUm / 1e6),
        one.rollM2 && Math.ceil(week.netM2 / one.rollM2 - 1e-9),
        one.rollWidthUm &&
          `${one.rollWidthUm / 1000} x ${Math.round((one.rollM2 as number) / (one.rollWidthUm / 1e6))}`,
      ]),
    );
    res.type('text/csv').attachment(`film-needs-${services.today()}.csv`).send(csvFile(HEAD, rows));
  };
}
