// Promises an answer: as an order line, or as a quote that is held for a time. When the state has changed since the answer
// was given, nothing is promised and the page shows the answer of now at once, so that the seller can promise that.
import type { RequestHandler } from 'express';
import { Refusal } from '../../domain/refusal.ts';
import { readAnswer } from '../../usecases/sales/askQuestion.ts';
import { makePromise } from '../../usecases/sales/makePromise.ts';
import { oneOf } from '../plans/planForms.ts';
import type { Services } from '../services.ts';
import { readAct } from '../whoIsAsking.ts';
import { showAnswer } from './answer.ts';
import { typedOf } from './answerForm.ts';
import { answerNumber, noAnswer, type PromiseTyped } from './answerPromiseForm.ts';

/** POST /answers/:id/promise */
export function promisePost(services: Services): RequestHandler {
  return async (req, res) => {
    const id = answerNumber(req.params.id);
    const { fault: actFault, ...act } = readAct(req, res);
    const kind = oneOf(req.body?.kind) === 'quote' ? 'quote' : 'order';
    const typed = {
      kind,
      order: oneOf(req.body?.order).trim(),
      customer: oneOf(req.body?.customer).trim(),
      hours: oneOf(req.body?.hours).trim(),
    } as const;
    const again = async (promise: PromiseTyped | undefined, status: number, note?: string) => {
      const stored = await readAnswer(services.db, id);
      if (!stored) throw noAnswer(String(id));
      const { question } = stored.answer;
      const asked = { typed: typedOf(question), question, faults: [] };
      await showAnswer(services, req, res, asked, {
        status,
        ...(note ? { note } : {}),
        ...(promise ? { promise } : {}),
      });
    };
    if (actFault) return again({ ...typed, act, actFault, faults: [] }, 422);
    try {
      const made = await makePromise(services.db, services.today(), { answer: id, ...typed, ...act });
      if (!made.ok) return await again({ ...typed, act, faults: made.faults }, 422);
      res.redirect(303, `/acknowledge/${encodeURIComponent(made.orders[0] as string)}`);
    } catch (error) {
      if (!(error instanceof Refusal) || error.code !== 'no-longer-so') throw error;
      await again({ ...typed, act, faults: [] }, 409, CHANGED);
    }
  };
}

const CHANGED =
  'Not promised: since that answer was given, somebody has promised from the same rolls, or the stock or the orders have changed. This is the answer of now; what you typed is still here.';
