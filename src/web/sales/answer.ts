// The door "Answer a customer": a question as one line or in fields, and the answer first, its reasons, what it costs and
// the form that promises it under it. Below, product by product and width by width, what there is and what is asked for.
import type { Request, RequestHandler, Response } from 'express';
import type { Question } from '../../domain/question.ts';
import { LINE_RIGHT } from '../../domain/questionText.ts';
import { type Fault, fieldOf } from '../../domain/resource.ts';
import { RESOURCES } from '../../domain/resources.ts';
import { askQuestion, type StoredAnswer } from '../../usecases/sales/askQuestion.ts';
import { type RollToSee, type WidthDemand, whatThereIs } from '../../usecases/sales/whatWeCanAnswer.ts';
import { suggestOrderCode } from '../../usecases/tables/suggestOrderCode.ts';
import { choicesOf } from '../choices.ts';
import { markOf } from '../marks.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { grouped, rowHref } from '../words.ts';
import { costModel } from './answerCosts.ts';
import { fieldLabel, QUESTION_FIELDS, readQuestion, type TypedQuestion } from './answerForm.ts';
import { type PromiseTyped, promiseForm } from './answerPromiseForm.ts';
import { answerWords, askedWords } from './answerWords.ts';

const whole = (value: number): string => grouped(Math.round(value), 0);

/** GET /answer. */
export function answerPage(services: Services): RequestHandler {
  return async (req, res) => {
    const { balances } = await whatThereIs(services.db, services.today(), undefined);
    const products = balances.map(({ product }) => product);
    const read = readQuestion(req.query, products, services.today());
    await showAnswer(services, req, res, read, { status: read.faults.length > 0 ? 422 : 200 });
  };
}

interface Shown {
  status: number;
  /** Said above the answer, when something has just happened. */
  note?: string;
  promise?: PromiseTyped;
}

/** The page with the answer of now to the question, if one is asked. */
export async function showAnswer(
  services: Services,
  req: Request,
  res: Response,
  { typed, question, faults }: { typed: TypedQuestion; question: Question | undefined; faults: Fault[] },
  { status, note, promise }: Shown,
): Promise<void> {
  const { db, jobs } = services;
  const asked = question && (await askQuestion(db, services.today(), question, jobs.questions.think));
  const stored = asked?.ok ? asked.stored : undefined;
  const wrong = asked && !asked.ok ? asked.faults : faults;
  if (stored && !stored.refined) jobs.questions.refine(stored.id);
  if (!question) jobs.questions.prepare(services.today());
  const page = {
    title: 'Answer a customer',
    note,
    ...formModel(typed, wrong),
    answer: stored && (await answerModel(services, req, stored, promise)),
    ...(await stockModel(services, typed.product)),
    scripts: req.method === 'GET' && stored && !stored.refined ? ['answer.js'] : [],
  };
  showPage(req, res, 'answer', page, wrong.length > 0 ? 422 : status);
}

function formModel(typed: TypedQuestion, faults: readonly Fault[]) {
  const known = new Set<string>([...QUESTION_FIELDS, 'line']);
  return {
    typed,
    example: LINE_RIGHT,
    faults: Object.fromEntries(faults.map((fault) => [fault.field, fault])),
    otherFaults: faults.filter((fault) => !known.has(fault.field ?? '')),
    inputs: QUESTION_FIELDS.slice(1).map((name) => ({ name, head: fieldLabel(name) })),
  };
}

async function answerModel(
  services: Services,
  req: Request,
  stored: StoredAnswer,
  promise: PromiseTyped | undefined,
) {
  const { id, answer, state, refined, at, quote } = stored;
  const customers = await choicesOf(services, fieldOf(RESOURCES.orders, 'customer'));
  const suggested = await suggestOrderCode(services.db);
  return {
    ...answerWords(answer, services.today()),
    id,
    state,
    refined,
    soon: answer.verdict === 'working',
    at: clockTime(at),
    asked: askedWords(answer.question),
    planHref: answer.evidence ? `/answers/${id}` : '',
    proofHref: answer.certificate ? `/answers/${id}/proof.json` : '',
    costs: quote && costModel(quote),
    promise: promiseForm(req, answer, customers, suggested, promise),
  };
}

/** What there is: all products, and the widths and rolls of the chosen one. */
async function stockModel(services: Services, product: string) {
  const today = services.today();
  const { balances, chosen, widths, rolls } = await whatThereIs(services.db, today, product || undefined);
  return {
    products: balances.map((b) => ({ code: b.product, name: b.name })),
    chosen: chosen && {
      code: chosen.product,
      name: chosen.name,
      href: rowHref('products', chosen.product),
    },
    widths: widths.map(widthModel),
    rolls: rolls.map((roll) => rollModel(roll, today)),
    balances: balances.map((b) => ({
      ...b,
      href: `/answer?product=${encodeURIComponent(b.product)}`,
      ordered: whole(Math.ceil(b.areaM2)),
      coated: whole(b.coatedM2),
      held: whole(b.heldM2),
      left: whole(Math.max(0, b.coatedM2 - b.areaM2)),
      short: b.shortM2 > 0 ? whole(Math.ceil(b.shortM2)) : '',
      film: whole(b.filmM2),
    })),
  };
}

function widthModel(demand: WidthDemand) {
  return {
    width: grouped(demand.widthUm / 1000),
    length: grouped(demand.lengthMm / 1000),
    orders: grouped(demand.orders),
    rolls: grouped(demand.rolls),
    area: whole(demand.areaM2),
    due: demand.firstDue ?? '',
  };
}

function rollModel(roll: RollToSee, today: string) {
  const marked = (name: string) => markOf(fieldOf(RESOURCES.rolls, name), { ...roll }, today);
  return {
    ...roll,
    href: rowHref('rolls', roll.code),
    width: grouped(roll.widthUm / 1000),
    length: grouped(roll.lengthMm / 1000),
    statusMark: marked('status') ?? 'calm',
    useByMark: marked('useBy'),
  };
}
