// Asking and promising in a test: questions are worked out here instead of in a worker, with time enough.
import type { Knex } from 'knex';
import type { Question } from '../../src/domain/question.ts';
import type { IsoDate } from '../../src/domain/units.ts';
import {
  answerToRefine,
  askQuestion,
  readAnswer,
  type StoredAnswer,
  storeRefined,
  type Think,
} from '../../src/usecases/sales/askQuestion.ts';
import { firstLook } from '../../src/usecases/sales/firstLook.ts';
import { makePromise, type PromiseForm } from '../../src/usecases/sales/makePromise.ts';
import { refineAnswer } from '../../src/usecases/sales/refineAnswer.ts';

export const SALES_DAY = '2027-03-01' as IsoDate;

/** A control that ends after so many seconds of this computer's time. */
export function forSeconds(seconds: number) {
  const start = performance.now();
  return { secondsLeft: () => seconds - (performance.now() - start) / 1000, report: () => {} };
}

export const think: Think = async ({ state, question, kept, before }) =>
  firstLook(state, question, kept, before, forSeconds(120));

/** 40 rolls of 83 mm x 300 m of CP-10, unless said otherwise. */
export function question(change: Partial<Record<keyof Question, unknown>> = {}): Question {
  const usual = { product: 'CP-10', widthUm: 83_000, lengthMm: 300_000, rolls: 40 };
  return { ...usual, dueOn: undefined, overPct: 0, underPct: 0, ...change } as Question;
}

export async function ask(db: Knex, change: Parameters<typeof question>[0] = {}): Promise<StoredAnswer> {
  const asked = await askQuestion(db, SALES_DAY, question(change), think);
  if (!asked.ok) throw new Error(JSON.stringify(asked.faults));
  return asked.stored;
}

/** The second look at an answer, as it is taken in the background. @returns the refined answer. */
export async function refined(db: Knex, id: number): Promise<StoredAnswer> {
  const found = await answerToRefine(db, id);
  if (found) {
    const made = refineAnswer(found.task, forSeconds(300), () => forSeconds(300));
    await storeRefined(db, id, found.hash, made);
  }
  return (await readAnswer(db, id)) as StoredAnswer;
}

/** The answer after both looks. */
export const askThrough = async (db: Knex, change: Parameters<typeof question>[0] = {}) =>
  refined(db, (await ask(db, change)).id);

let keys = 0;
export const promise = (db: Knex, answer: number, change: Partial<PromiseForm> = {}) => {
  keys += 1;
  const usual: PromiseForm = {
    answer,
    kind: 'order',
    order: `T-${keys}`,
    customer: 'C-01',
    hours: '',
    by: 'Ann',
    requestKey: `request-key-${keys}`,
  };
  return makePromise(db, SALES_DAY, { ...usual, ...change });
};
