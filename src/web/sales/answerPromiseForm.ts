// The form that promises an answer, as its view needs it, with what was typed and what was wrong with it.
import type { Request } from 'express';
import { type Answer, canPromise, isLater } from '../../domain/answer.ts';
import type { Fault } from '../../domain/resource.ts';
import { HOURS_USUAL } from '../../usecases/sales/makePromise.ts';
import { Problem } from '../errors.ts';
import { type ActForm, newAct } from '../whoIsAsking.ts';
import { count } from '../words.ts';

export interface PromiseTyped {
  kind: string;
  order: string;
  customer: string;
  hours: string;
  act: ActForm;
  actFault?: string | undefined;
  faults: Fault[];
}

interface Choice {
  code: string;
  name: string;
}

/** The form under an answer; undefined where there is nothing to promise. */
export function promiseForm(
  req: Request,
  answer: Answer,
  customers: Choice[],
  suggested: string,
  typed: PromiseTyped | undefined,
) {
  if (!canPromise(answer)) return undefined;
  const { part, question, readyOn } = answer;
  const day = isLater(answer) ? readyOn : (question.dueOn ?? readyOn);
  return {
    customers,
    order: typed?.order ?? suggested,
    customer: typed?.customer ?? '',
    kind: typed?.kind ?? 'order',
    hours: typed?.hours ?? String(HOURS_USUAL),
    act: typed?.act ?? newAct(req),
    actFault: typed?.actFault,
    faults: Object.fromEntries((typed?.faults ?? []).map((fault) => [fault.field, fault])),
    what: part
      ? `Two order lines: ${count(part.rolls, 'roll')} for ${part.by}, ${count(question.rolls - part.rolls, 'roll')} for ${readyOn}.`
      : `${count(question.rolls, 'roll')} for ${day}.`,
  };
}

const LARGEST_ID = 2_147_483_647;

export function answerNumber(text: unknown): number {
  const id = Number(text);
  if (typeof text === 'string' && /^\d{1,10}$/.test(text) && id >= 1 && id <= LARGEST_ID) return id;
  throw noAnswer(String(text));
}

export const noAnswer = (id: string): Problem =>
  new Problem(404, `There is no answer "${id}".`, 'Ask the question again; answers are kept for a month.');
