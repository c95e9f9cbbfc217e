// The yield page: how much of the film became good rolls, planned and actual; what was lost by cause, largest first, and
// what it cost; by machine, product, supplier's lot and week. Each table is also a file.
import type { Request, RequestHandler } from 'express';
import { addDays, type IsoDate, isIsoDate } from '../../domain/units.ts';
import {
  byCause,
  DIMENSIONS,
  type Dimension,
  type Fact,
  pareto,
  type YieldOf,
  yieldBy,
  yieldOf,
} from '../../domain/yieldAccount.ts';
import { readYield, type YieldAsked } from '../../usecases/afterwards/readYield.ts';
import { csvText } from '../../usecases/tables/exportCsv.ts';
import { drawPareto, drawWeeks, percent } from '../drawings/pictureYield.ts';
import { showPage } from '../page.ts';
import { oneOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { capital, grouped } from '../words.ts';

const USUAL_DAYS = 84;
const NAMES: Record<Dimension, string> = {
  machine: 'machine',
  product: 'product',
  lot: "supplier's lot",
  week: 'week',
};

interface Asked extends YieldAsked {
  /** Last day, as the page shows it. */
  to: string;
  wrong: string[];
}

function asked(req: Request, today: IsoDate): Asked {
  const wrong: string[] = [];
  const day = (name: 'from' | 'to', usual: IsoDate): IsoDate => {
    const text = oneOf(req.query[name]).trim();
    if (text === '' || isIsoDate(text)) return (text || usual) as IsoDate;
    wrong.push(`"${text}" is not a day; right would be yyyy-mm-dd, such as ${usual}`);
    return usual;
  };
  const to = day('to', today);
  const from = day('from', addDays(to, -USUAL_DAYS));
  if (from > to) wrong.push(`the first day ${from} is after the last, ${to}`);
  const [machine, product, lot] = ['machine', 'product', 'lot'].map((name) => oneOf(req.query[name]));
  return { from, to, until: addDays(to, 1), machine, product, lot, wrong };
}

/** GET /yield. */
export function yieldPage(services: Services): RequestHandler {
  return async (req, res) => {
    const ask = asked(req, services.today());
    const { facts, choices } = await readYield(services.db, ask);
    const losses = pareto(facts);
    const weeks = yieldBy(facts, 'week');
    const model = {
      title: 'Yield',
      ask,
      filters: (['machine', 'product', 'lot'] as const).map((name) => ({
        name,
        label: capital(NAMES[name]),
        value: ask[name] ?? '',
        choices: choices[name],
      })),
      answer: answerOf(facts),
      none: facts.length === 0,
      pareto: losses.length > 0 ? drawPareto(losses) : undefined,
      weekly: weeks.length > 0 ? drawWeeks(weeks) : undefined,
      causes: causeRows(facts),
      tables: DIMENSIONS.map((dimension) => ({
        name: NAMES[dimension],
        id: `by-${dimension}`,
        rows: yieldBy(facts, dimension).map(yieldRow),
      })),
      csvHref: `/export/yield.csv?${addressOf(ask)}`,
    };
    showPage(req, res, 'yield', model, ask.wrong.length > 0 ? 422 : 200);
  };
}

const addressOf = ({ from, to, machine, product, lot }: Asked): string =>
  new URLSearchParams(
    Object.entries({ from, to, machine, product, lot }).filter((pair): pair is [string, string] =>
      Boolean(pair[1]),
    ),
  ).toString();

function answerOf(facts: readonly Fact[]): string {
  const all = yieldOf('all', facts);
  if (all.actual === undefined) return 'Nothing was cut or coated in these days.';
  const planned = all.planned === undefined ? '' : `; planned for the same sets: ${percent(all.planned, 1)}`;
  const cost = all.lossCost === null ? '' : `, worth ${money(all.lossCost)} EUR`;
  return `${percent(all.actual, 1)} of the film used became good rolls${planned}. Lost: ${grouped(all.lossM2, 0)} of ${grouped(all.usedM2, 0)} m2${cost}.`;
}

function causeRows(facts: readonly Fact[]) {
  const rank = new Map(pareto(facts).map((loss, i) => [loss.cause, { i, ...loss }]));
  return byCause(facts)
    .sort(
      (a, b) => (rank.get(a.cause)?.i ?? 99) - (rank.get(b.cause)?.i ?? 99) || (a.cause < b.cause ? -1 : 1),
    )
    .map(({ cause, plannedM2, actualM2, actualKg, cost }) => ({
      cause,
      planned: grouped(plannedM2, 1),
      actual: grouped(actualM2, 1),
      more: signed(actualM2 - plannedM2),
      kg: grouped(actualKg, 2),
      share: rank.has(cause) ? percent(rank.get(cause)?.share as number, 1) : '',
      upTo: rank.has(cause) ? percent(rank.get(cause)?.upTo as number, 1) : '',
      cost: money(cost),
    }));
}

/** Not known: nothing. */
const money = (value: number | null): string =>
  value === null ? '' : value.toLocaleString('en-GB', { minimumFractionDigits: 2, maximumFractionDigits: 2 });

const signed = (value: number): string => {
  const text = grouped(Math.abs(value), 1);
  return text === '0' ? '0' : `${value < 0 ? '−' : '+'}${text}`;
};

const yieldRow = (one: YieldOf) => ({
  key: one.key,
  used: grouped(one.usedM2, 0),
  good: grouped(one.goodM2, 0),
  loss: grouped(one.lossM2, 0),
  planned: one.planned === undefined ? '' : percent(one.planned, 1),
  actual: one.actual === undefined ? '' : percent(one.actual, 1),
  points:
    one.planned === undefined || one.actual === undefined ? '' : signed(100 * (one.actual - one.planned)),
  cost: money(one.lossCost),
});

const HEADS = [
  'week',
  'machine',
  'product',
  'lot',
  'cause',
  'planned m2',
  'actual m2',
  'actual kg',
  'cost EUR',
];

/** GET /export/yield.csv: every fact of the page, one a line. */
export function yieldFile(services: Services): RequestHandler {
  return async (req, res) => {
    const ask = asked(req, services.today());
    const { facts } = await readYield(services.db, ask);
    const lines = facts.map((fact) => [
      ...[fact.week, fact.machine, fact.product, fact.lot, fact.cause].map(csvText),
      round(fact.plannedM2),
      round(fact.actualM2),
      round(fact.actualKg),
      fact.cost === null ? '' : round(fact.cost),
    ]);
    res.type('text/csv').attachment(`yield-${ask.from}-${ask.to}.csv`);
    res.send(`\ufeff${[HEADS, ...lines].map((line) => line.join(',')).join('\r\n')}\r\n`);
  };
}

const round = (value: number): string => String(Math.round(value * 1e6) / 1e6);
