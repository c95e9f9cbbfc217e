// The plan behind an answer, drawn: where the asked rolls lie among everybody else's, and how each order comes out of it.
// The problem that proves a no, as a file for the plan command.
import type { Request, RequestHandler } from 'express';
import { type Answer, ASKED, ASKED_LATER } from '../../domain/answer.ts';
import type { Plan } from '../../domain/plan.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { readAnswer, type StoredAnswer } from '../../usecases/sales/askQuestion.ts';
import { fieldsOfPlan, tonesOf } from '../drawings/picturePlan.ts';
import { showPage } from '../page.ts';
import { clockTime } from '../plans/planForms.ts';
import { drawnFields, orderRows, runRows } from '../plans/planTables.ts';
import type { Services } from '../services.ts';
import { questionHref } from './answerForm.ts';
import { answerNumber, noAnswer } from './answerPromiseForm.ts';
import { answerWords, askedWords } from './answerWords.ts';

/** Rolls without asked strips are in the table; the first few of them are drawn. */
const MOST_DRAWN = 12;

async function answerOf({ db }: Services, req: Request): Promise<StoredAnswer> {
  const stored = await readAnswer(db, answerNumber(req.params.id));
  if (!stored) throw noAnswer(String(req.params.id));
  return stored;
}

/** GET /answers/:id */
export function answerPlanPage(services: Services): RequestHandler {
  return async (req, res) => {
    const stored = await answerOf(services, req);
    const { answer } = stored;
    const read = answer.evidence && parseProblem(answer.evidence.document);
    if (!answer.evidence || !read?.ok) throw noAnswer(`${stored.id} with a plan`);
    const { plan } = answer.evidence;
    const first = withAskedFirst(plan);
    showPage(req, res, 'answerPlan', {
      title: 'The plan behind the answer',
      under: '/answer',
      asked: askedWords(answer.question),
      words: answerWords(answer, services.today()).words,
      back: questionHref(answer.question),
      state: stored.state,
      at: clockTime(stored.at),
      fields: drawnFields(first, read.problem, '', MOST_DRAWN),
      notDrawn: Math.max(0, fieldsOfPlan(first, read.problem).length - MOST_DRAWN),
      orders: orderRows(plan, read.problem, tonesOf(first)).sort(
        (a, b) => Number(isAsked(b.id)) - Number(isAsked(a.id)),
      ),
      runs: runRows(plan),
      href: `/answers/${stored.id}`,
    });
  };
}

const isAsked = (id: string | undefined): boolean => id === ASKED || id === ASKED_LATER;

/** The asked rolls have the first tone, and the rolls that they are cut from are drawn first. */
function withAskedFirst(plan: Plan): Plan {
  const rolls = new Set(
    plan.runs
      .filter(({ strips }) => strips.some(({ order }) => isAsked(order)))
      .flatMap(({ from }) => from.map(({ roll }) => roll)),
  );
  const rank = (run: Plan['runs'][number]) => (run.from.some(({ roll }) => rolls.has(roll)) ? 0 : 1);
  const runs = [...plan.runs].sort((a, b) => rank(a) - rank(b) || a.sequence - b.sequence);
  const orders = [...plan.orders].sort((a, b) => Number(isAsked(b.id)) - Number(isAsked(a.id)));
  return { ...plan, runs, orders };
}

/** GET /answers/:id/:file, of the plan behind an answer or of the proof of a no. */
export function answerFile(services: Services, part: 'plan' | 'problem' | 'proof'): RequestHandler {
  return async (req, res) => {
    const stored = await answerOf(services, req);
    const document = documentOf(stored.answer, part);
    if (!document) throw noAnswer(`${stored.id} with a ${part}`);
    res
      .type('application/json')
      .attachment(`answer-${stored.id}-${part}.json`)
      .send(`${JSON.stringify(document, null, 2)}\n`);
  };
}

function documentOf(answer: Answer, part: 'plan' | 'problem' | 'proof'): unknown {
  if (part === 'proof') return answer.certificate?.document;
  return part === 'plan' ? answer.evidence?.plan : answer.evidence?.document;
}
