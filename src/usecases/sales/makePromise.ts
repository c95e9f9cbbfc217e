// Turns an answer into an order line, or into a quote that is held for a time, and reserves what its plan takes. Promises of
// one product, and of the film that it shares, are made one after the other: each looks whether the state is still the one
// that the answer was computed on. If not, nothing is promised and the caller asks anew.
import type { Knex } from 'knex';
import { type Answer, ASKED, ASKED_LATER, canPromise, isLater, type Kept } from '../../domain/answer.ts';
import { parseField } from '../../domain/fieldText.ts';
import type { Run } from '../../domain/plan.ts';
import { type Question, questionKey, questionLine, rollsTaken } from '../../domain/question.ts';
import { Refusal } from '../../domain/refusal.ts';
import { type Fault, fieldOf, type Row } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { type IsoDate, mToMm } from '../../domain/units.ts';
import { findAnswerById, findState, insertState, type StoredAnswer } from '../../store/answers.ts';
import { isTaken } from '../../store/databaseErrors.ts';
import { refreshOrders } from '../../store/orderProgress.ts';
import { rowsByCode } from '../../store/planningRows.ts';
import {
  giveFinished,
  insertPromise,
  lapseQuotes,
  lockForPromise,
  type PromiseKind,
  promisesOfRequest,
  rewriteReserved,
} from '../../store/promises.ts';
import { findRows, upsertRows } from '../../store/rows.ts';
import { completeRow } from '../tables/rowInput.ts';
import { keptOf, NOTHING_KEPT } from './askKept.ts';
import { freezeState } from './salesState.ts';

export interface PromiseForm {
  answer: number;
  kind: PromiseKind;
  /** Code of the order line, as typed. */
  order: string;
  customer: string;
  /** Hours that a quote is held, as typed; empty: the usual. */
  hours: string;
  by: string;
  requestKey: string;
}
export type PromiseResult = { ok: true; orders: string[] } | { ok: false; faults: Fault[] };

/** Default - verify: two days are a usual time to think a quote over. Common practice, no source. */
export const HOURS_USUAL = 48;
const HOURS_MOST = 24 * 60;

/** Refuses with not-found, nothing-to-promise or no-longer-so. A form sent twice is done once. */
export async function makePromise(db: Knex, today: IsoDate, form: PromiseForm): Promise<PromiseResult> {
  try {
    return await db.transaction((trx) => promiseOnce(trx, today, form));
  } catch (error) {
    if (isTaken(error)) return { ok: false, faults: [taken(form.order)] };
    throw error;
  }
}

async function promiseOnce(trx: Knex, today: IsoDate, form: PromiseForm): Promise<PromiseResult> {
  const stored = await findAnswerById(trx, form.answer);
  if (!stored) throw new Refusal('not-found', { what: 'answer', code: form.answer });
  const { answer, state: was } = stored;
  const { product } = answer.question;
  const [row] = await rowsByCode(trx, 'products', [product]);
  await lockForPromise(trx, [product, ...(await sharedBy(trx, row))]);
  const before = await promisesOfRequest(trx, form.requestKey);
  if (before.length > 0) return { ok: true, orders: before.map(({ order }) => order) };
  await lapseQuotes(trx);
  const now = await freezeState(trx, today, product);
  if (now.hash !== was) throw new Refusal('no-longer-so', { product, was });
  if (!canPromise(answer))
    throw new Refusal('nothing-to-promise', { question: questionLine(answer.question) });
  const { faults, code, customer, hours } = await readForm(trx, form, answer);
  if (faults.length > 0) return { ok: false, faults };
  const lines = linesOf(answer, code);
  await upsertRows(
    trx,
    RESOURCES.orders,
    lines.map((line) => orderRow(line, answer.question, customer, form.kind)),
  );
  await reserve(trx, stored, lines, { ...form, hours });
  await keepPlan(trx, today, stored, lines);
  return { ok: true, orders: lines.map(({ order }) => order) };
}

/** What the product shares with others: its film, and the hours of its slitters. */
async function sharedBy(trx: Knex, product: Row | undefined): Promise<string[]> {
  const own = (product?.slitters ?? []) as string[];
  const slitters = own.length > 0 ? own : (await rowsByCode(trx, 'slitters')).map(({ code }) => String(code));
  return [...((product?.grades ?? []) as string[]), ...slitters];
}

interface Line {
  order: string;
  /** Its name in the answer's plan. */
  asked: string;
  rolls: number;
  dueOn: IsoDate | undefined;
  overPct: number;
  underPct: number;
}

/** One order line, or two where a part comes later. */
function linesOf(answer: Answer, order: string): Line[] {
  const { question: q, part, readyOn } = answer;
  const { overPct, underPct } = q;
  const dueOn = isLater(answer) ? readyOn : (q.dueOn ?? readyOn);
  if (answer.verdict !== 'part' || !part)
    return [{ order, asked: ASKED, rolls: q.rolls, dueOn, overPct, underPct }];
  const onlyShelf = part.rolls === answer.fromShelf.length;
  const rest = q.rolls - part.rolls;
  const least = Math.max(1, rollsTaken(q).minRolls - part.rolls);
  return [
    { order, asked: onlyShelf ? '' : ASKED, rolls: part.rolls, dueOn: part.by, overPct: 0, underPct: 0 },
    {
      order: `${order}/2`,
      asked: onlyShelf ? ASKED : ASKED_LATER,
      rolls: rest,
      dueOn: readyOn,
      overPct: 0,
      underPct: (100 * (rest - least)) / rest,
    },
  ];
}

function orderRow(line: Line, q: Question, customer: string, kind: PromiseKind) {
  const { order: code, rolls, dueOn, overPct, underPct } = line;
  const size = { product: q.product, widthUm: q.widthUm, lengthMm: q.lengthMm };
  const status = kind === 'quote' ? 'quoted' : 'open';
  return completeRow(RESOURCES.orders, {
    ...size,
    code,
    customer,
    rolls,
    overPct,
    underPct,
    dueOn: dueOn ?? null,
    priority: 'normal',
    status,
  }).row;
}

async function readForm(trx: Knex, form: PromiseForm, answer: Answer) {
  const faults: Fault[] = [];
  const read = (name: 'code' | 'customer', field: string, text: string): string => {
    const reading = parseField({ ...fieldOf(RESOURCES.orders, name), required: true }, text, {
      decimal: '.',
    });
    if (!reading.ok) faults.push({ ...reading.fault, field });
    return reading.ok ? String(reading.value) : '';
  };
  const code = read('code', 'order', form.order);
  const customer = read('customer', 'customer', form.customer);
  const codes = answer.verdict === 'part' ? [code, `${code}/2`] : [code];
  if (code && (await findRows(trx, RESOURCES.orders, codes)).length > 0) faults.push(taken(code));
  if (customer && (await findRows(trx, RESOURCES.customers, [customer])).length === 0)
    faults.push({
      field: 'customer',
      value: customer,
      wrong: `there is no customer "${customer}"`,
      right: 'the code of a customer in the table of customers',
    });
  const typed = form.hours.trim().replace(',', '.');
  const hours = typed === '' ? HOURS_USUAL : Number(typed);
  if (form.kind === 'quote' && !(hours > 0 && hours <= HOURS_MOST))
    faults.push({
      field: 'hours',
      value: form.hours,
      wrong: `"${form.hours}" is no time to hold a quote`,
      right: `a number of hours above 0 up to ${HOURS_MOST}`,
    });
  return { faults, code, customer, hours };
}

const taken = (code: string): Fault => ({
  field: 'order',
  value: code,
  wrong: `order line ${code} is there already`,
  right: 'a code that is not taken',
});

/** Finished rolls go to an order at once and are held for a quote; of film, what the plan takes is noted down. */
async function reserve(
  trx: Knex,
  { answer, state }: StoredAnswer,
  lines: readonly Line[],
  form: Omit<PromiseForm, 'hours'> & { hours: number },
): Promise<void> {
  const { kind, by, requestKey, hours } = form;
  const runs = answer.evidence?.plan.runs ?? [];
  for (const [index, line] of lines.entries()) {
    const shelf = index === 0 ? answer.fromShelf : [];
    const film = await reservedBy(trx, runs, line.asked);
    const whole = shelf.map((roll) => ({ roll, lengthMm: answer.question.lengthMm as number }));
    await insertPromise(trx, {
      ...{ order: line.order, kind, by, requestKey, state, hours, rolls: line.rolls, promisedOn: line.dueOn },
      question: questionKey(answer.question),
      reserved: [...whole, ...film],
    });
    if (kind === 'order' && shelf.length > 0) await takeFromShelf(trx, line.order, shelf);
  }
}

/** Gives finished rolls to their order; its status follows. */
export async function takeFromShelf(trx: Knex, order: string, shelf: readonly string[]): Promise<void> {
  const given = await giveFinished(trx, order, shelf);
  if (given < shelf.length) throw new Error(`${shelf.length - given} finished rolls of ${order} are gone`);
  await refreshOrders(trx, [order]);
}

/** Rolls of stock that the runs with strips for this line take, with the metres of their sets. */
async function reservedBy(trx: Knex, runs: readonly Run[], line: string) {
  const metres = new Map<string, number>();
  for (const run of runs.filter(({ strips }) => strips.some(({ order }) => order === line)))
    for (const { roll, sets } of run.from)
      metres.set(roll, (metres.get(roll) ?? 0) + mToMm(run.lengthM) * sets);
  const there = await findRows(trx, RESOURCES.rolls, [...metres.keys()]);
  return there.map((row) => ({ roll: String(row.code), lengthMm: metres.get(String(row.code)) ?? 0 }));
}

/** The answer's plan, with the order's name in it, is what all orders of the product keep from now on. */
async function keepPlan(
  trx: Knex,
  today: IsoDate,
  stored: StoredAnswer,
  lines: readonly Line[],
): Promise<void> {
  const { answer, state: was } = stored;
  const after = await freezeState(trx, today, answer.question.product);
  const before = (await findState(trx, was))?.kept ?? NOTHING_KEPT;
  const { evidence } = answer;
  const kept = evidence ? keptOf(evidence.document, evidence.plan, before) : before;
  const named = renamed(kept, lines);
  await insertState(trx, after.hash, after.state, named);
  for (const { id } of named.orders) await rewriteReserved(trx, id, await reservedBy(trx, named.runs, id));
}

function renamed(kept: Kept, lines: readonly Line[]): Kept {
  const names = new Map(lines.map(({ asked, order }) => [asked, order]));
  const days = new Map(lines.map(({ order, dueOn }) => [order, dueOn]));
  const name = (id: string) => names.get(id) ?? id;
  return {
    ...kept,
    runs: kept.runs.map((run) => ({
      ...run,
      strips: run.strips.map((strip) =>
        strip.order === undefined ? strip : { ...strip, order: name(strip.order) },
      ),
    })),
    orders: kept.orders.map((one) => {
      const id = name(one.id);
      return { ...one, id, by: days.has(id) ? days.get(id) : one.by };
    }),
  };
}
