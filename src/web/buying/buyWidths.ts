// Which base width to buy: cost over the width as a curve, the best single width, the best pair, what one more width beside
// those on offer saves, and full plans of the best few. Worked out in the background: the page shows how far it is.
import type { RequestHandler } from 'express';
import { CURRENCY } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type IsoDate, isIsoDate } from '../../domain/units.ts';
import type { WidthComparison, WidthMenu } from '../../usecases/buying/compareWidths.ts';
import { widthQuestion } from '../../usecases/buying/widthQuestion.ts';
import { listRows } from '../../usecases/tables/listRows.ts';
import { drawCurve } from '../drawings/pictureCurve.ts';
import { showPage } from '../page.ts';
import { oneOf } from '../plans/planForms.ts';
import { money } from '../plans/planWords.ts';
import type { Services } from '../services.ts';
import { andList, grouped } from '../words.ts';
import { workingWords } from './buyProposal.ts';

const USUAL = { from: '800', to: '1200', step: '20' };
const MOST_WIDTHS = 41;

type Typed = { product: string; grade: string; from: string; to: string; step: string; until: string };

function read(typed: Typed): { widthsMm: number[]; until: IsoDate | undefined; faults: string[] } {
  const [from, to, step] = [typed.from, typed.to, typed.step].map((text) =>
    Number(text.replace(',', '.')),
  ) as [number, number, number];
  const faults: string[] = [];
  const many = Math.floor((to - from) / step + 1e-9) + 1;
  if (!(from > 0 && to >= from && to <= 10_000 && step >= 0.1))
    faults.push(
      'The widths are not a range: a smallest width above 0, a largest of at most 10,000 mm, and a step.',
    );
  else if (many > MOST_WIDTHS)
    faults.push(
      `These are ${grouped(many)} widths: at most ${MOST_WIDTHS} are compared at once. Take a larger step.`,
    );
  if (typed.until !== '' && !isIsoDate(typed.until))
    faults.push(`"${typed.until}" is not a calendar day: such as 2027-03-17 would be right.`);
  if (faults.length > 0) return { widthsMm: [], until: undefined, faults };
  const widthsMm = Array.from({ length: many }, (_, i) => Math.round((from + i * step) * 1000) / 1000);
  return { widthsMm, until: isIsoDate(typed.until) ? typed.until : undefined, faults };
}

/** GET /buy/widths?product= or grade=, from=&to=&step=&until= */
export function widthsPage(services: Services): RequestHandler {
  return async (req, res) => {
    const given = (name: keyof Typed): string => oneOf(req.query[name]).trim();
    const typed: Typed = {
      product: given('product'),
      grade: given('grade'),
      from: given('from') || USUAL.from,
      to: given('to') || USUAL.to,
      step: given('step') || USUAL.step,
      until: given('until'),
    };
    const { widthsMm, until, faults } = read(typed);
    const all = { page: 1, pageSize: 500, sort: 'code', descending: false, filters: {}, search: '' };
    const products = (await listRows(services.db, RESOURCES.products, all)).rows;
    const grades = (await listRows(services.db, RESOURCES.grades, all)).rows;
    const of = typed.grade !== '' ? { grade: typed.grade } : { product: typed.product };
    const ask = (typed.product !== '' || typed.grade !== '') && faults.length === 0;
    const question = ask
      ? await widthQuestion(services.db, { of, widthsMm, until }, services.today())
      : undefined;
    const heard = question && (await services.jobs.buying.widths(question));
    const working = heard !== undefined && heard.answer === undefined;
    const found = heard && (heard.answer ?? heard.progress?.soFar);
    const model = {
      title: 'Which width to buy',
      under: '/buy',
      typed,
      faults,
      currency: CURRENCY,
      products: products.map((row) => ({ code: String(row.code), name: String(row.name) })),
      grades: grades.map((row) => String(row.code)),
      answer: ask && (found || !question) ? answerOf(found) : '',
      working: working ? workingOn(heard.progress) : '',
      found: found && comparisonModel(found),
      ...(working ? { refreshSeconds: 2, scripts: ['working.js'] } : {}),
    };
    showPage(req, res, 'buying/widths', model, faults.length > 0 ? 422 : 200);
  };
}

function workingOn(progress: { done: number; of: number } | undefined): string {
  return progress
    ? `Full plans of the best widths are being made: ${grouped(progress.done)} of ${grouped(progress.of)} are there.`
    : workingWords(undefined);
}

function answerOf(found: WidthComparison | undefined): string {
  if (!found)
    return 'No open order of it asks for film, or nobody offers its film at a known price at the moment.';
  const { best, pair } = found;
  if (!best) return 'None of these widths alone can make all of the orders.';
  const one = `${grouped(best.widthMm)} mm costs least: ${money(best.cost)} ${CURRENCY} of film and coating at the least.`;
  const two =
    !pair || pair.cost >= best.cost - 0.005
      ? 'A second of these widths would save nothing.'
      : `With ${grouped(pair.widthsMm[0])} and ${grouped(pair.widthsMm[1])} mm it is ${money(pair.cost)}: one more width would save ${money(best.cost - pair.cost)} ${CURRENCY}.`;
  return `${one} ${two} ${menuWords(found)}`.trim();
}

/** What one more width would save beside those on offer. */
function menuWords({ menuMm, menuCost, oneMore }: WidthComparison): string {
  const today = andList(menuMm.map((mm) => `${grouped(mm)} mm`));
  if (menuCost === undefined) return `What is on offer today (${today}) cannot make all of the orders.`;
  const least = `Today's menu, ${today}, costs ${money(menuCost)} at the least`;
  if (!oneMore || oneMore.saves < 0.005)
    return `${least}; none of these widths beside it would save anything.`;
  return `${least}; ${grouped(oneMore.widthMm)} mm beside it would save ${money(oneMore.saves)} ${CURRENCY}.`;
}

const WHAT: Record<WidthMenu['what'], string> = {
  menu: "today's menu",
  'menu and one more': "today's menu and one more",
  single: 'alone',
  pair: 'the best pair',
};

function planModel({ what, widthsMm, least, plan }: WidthMenu) {
  return {
    widths: andList(widthsMm.map((mm) => grouped(mm))),
    what: WHAT[what],
    least: money(least),
    ...(plan
      ? {
          bound: money(plan.bound),
          cost: money(plan.cost),
          gap: grouped((100 * (plan.cost - plan.bound)) / plan.cost, 1),
          film: grouped(Math.round(plan.filmM2), 0),
          setUps: grouped(plan.setUps),
        }
      : { bound: '', cost: '', gap: '', film: '', setUps: '' }),
  };
}

function comparisonModel(found: WidthComparison) {
  const { best } = found;
  const able = found.widths.flatMap(({ widthMm, cost }) => (cost === undefined ? [] : [{ widthMm, cost }]));
  const points = able.map(({ widthMm, cost }) => ({
    setUps: widthMm,
    cost,
    label: widthMm === best?.widthMm ? `${grouped(widthMm)} mm` : '',
    title: `${grouped(widthMm)} mm: ${money(cost)} ${CURRENCY}`,
    chosen: widthMm === best?.widthMm,
  }));
  return {
    grade: found.grade,
    perM2: found.filmPerM2.toFixed(4),
    products: andList(
      found.products.map(({ product, coatingPerM2 }) => `${product} (coating ${coatingPerM2.toFixed(4)})`),
    ),
    metres: grouped(found.metresAsked, 0),
    picture: points.length > 1 ? drawCurve(points, money) : undefined,
    menu: andList(found.menuMm.map((mm) => grouped(mm))),
    plans: found.menus.map(planModel),
    verdict: verdictOf(found),
    rows: found.widths.map(({ widthMm, cost, besideMenu }) => ({
      width: grouped(widthMm),
      cost: cost === undefined ? 'too narrow for a strip or too wide for the slitter' : money(cost),
      more: cost === undefined || !best ? '' : money(cost - best.cost),
      saves: savedBeside(found, widthMm, besideMenu),
      best: widthMm === best?.widthMm,
    })),
  };
}

/** What a width saves beside those on offer. */
function savedBeside(
  { menuMm, menuCost }: WidthComparison,
  widthMm: number,
  cost: number | undefined,
): string {
  if (menuMm.includes(widthMm)) return 'on offer';
  return cost === undefined || menuCost === undefined ? '' : money(Math.max(0, menuCost - cost));
}

/** What the full plans prove: which menus cannot come down to the cheapest plan found. */
function verdictOf({ menus, done, of }: WidthComparison): string {
  const planned = menus.flatMap(({ widthsMm, plan }) => (plan ? [{ widthsMm, plan }] : []));
  if (done < of || planned.length < 2) return '';
  const name = (widthsMm: readonly number[]): string => `${andList(widthsMm.map((mm) => grouped(mm)))} mm`;
  const [best, ...others] = [...planned].sort((a, b) => a.plan.cost - b.plan.cost);
  const worse = others.filter(({ plan }) => plan.bound >= (best?.plan.cost ?? 0) - 0.005);
  const cheapest = `The cheapest plan found is that of ${name(best?.widthsMm ?? [])}.`;
  if (worse.length === others.length)
    return `${cheapest} It is proved that none of the others comes below it.`;
  if (worse.length > 0)
    return `${cheapest} It is proved that ${andList(worse.map(({ widthsMm }) => name(widthsMm)))} cannot come below it; the others may.`;
  return `${cheapest} The others may come below it: they differ by less than what is left to gain in each.`;
}
