// Can we make it? Freezes the state, looks whether this question was answered on it already, and if not has it worked out
// and keeps the answer. The working out is the caller's to place: a worker thread, or here.
import type { Knex } from 'knex';
import type { Kept, SalesState } from '../../domain/answer.ts';
import { parseProblem } from '../../domain/problemDocument.ts';
import { type Question, questionKey } from '../../domain/question.ts';
import type { Fault } from '../../domain/resource.ts';
import type { IsoDate } from '../../domain/units.ts';
import {
  findAnswer,
  findAnswerById,
  findState,
  forgetOldStates,
  insertAnswer,
  insertState,
  newestKept,
  rewriteWorking,
  type StoredAnswer,
  writeRefined,
} from '../../store/answers.ts';
import { asOrder, wholeLine } from './askProblems.ts';
import type { FirstLook } from './firstLook.ts';
import type { Refined } from './refineAnswer.ts';
import { refuseFaulty, salesState } from './salesState.ts';

export type { StoredAnswer } from '../../store/answers.ts';

/** A question on the state with this hash: what is kept in it, and what was kept in the newest before. */
export interface Asked {
  hash: string;
  state: SalesState;
  question: Question;
  kept: Kept | undefined;
  before: Kept | undefined;
}
/** Takes a first look at a question, somewhere. */
export type Think = (asked: Asked) => Promise<FirstLook>;
export type AskResult = { ok: true; stored: StoredAnswer } | { ok: false; faults: Fault[] };

/** The answer of now. A size that no machine takes is a fault of its field. Refuses with not-found, cannot-be-planned, no-slitter. */
export async function askQuestion(
  db: Knex,
  today: IsoDate,
  question: Question,
  think: Think,
): Promise<AskResult> {
  const { state, hash } = await salesState(db, today, question.product);
  const answered = await findAnswer(db, hash, questionKey(question));
  if (answered) return { ok: true, stored: answered };
  refuseFaulty(state);
  const faults = impossible(state, question);
  if (faults.length > 0) return { ok: false, faults };
  const known = (await findState(db, hash))?.kept;
  const before = known ? undefined : await newestKept(db, question.product);
  const { answer, kept } = await think({ hash, state, question, kept: known, before });
  await forgetOldStates(db);
  await insertState(db, hash, state, kept);
  return { ok: true, stored: await insertAnswer(db, hash, questionKey(question), answer) };
}

/** What the planner says of the asked line as such: wider than any web, larger in diameter than a slitter winds. */
function impossible(state: SalesState, question: Question): Fault[] {
  const asked = asOrder(question, { ...wholeLine(question, 0), by: undefined });
  const read = parseProblem({ ...state.document, fillers: [], orders: [asked] });
  if (read.ok) return [];
  return read.faults
    .filter(({ path }) => path.startsWith('orders[0]'))
    .map(({ path, wrong, right }) => ({
      field: path.endsWith('.lengthM') ? 'length' : path.endsWith('.rolls') ? 'rolls' : 'width',
      value: '',
      wrong: `it ${wrong}`,
      right,
    }));
}

/** What a second look needs; undefined when it was looked at twice already or is gone. */
export async function answerToRefine(db: Knex, id: number) {
  const stored = await findAnswerById(db, id);
  if (!stored || stored.refined) return undefined;
  const found = await findState(db, stored.state);
  if (!found) return undefined;
  const { document: state, kept } = found;
  const before = kept ? undefined : await newestKept(db, state.product);
  return { hash: stored.state, task: { state, kept, before, answer: stored.answer } };
}

/** An answer that was still being worked out, as it is on what the orders keep by now. */
export const storeFirst = (db: Knex, id: number, { answer }: FirstLook): Promise<void> =>
  rewriteWorking(db, id, answer);

/** Keeps a refined answer, and what the orders keep where that was planned for it. */
export async function storeRefined(db: Knex, id: number, hash: string, refined: Refined): Promise<void> {
  const { state, kept, answer, quote } = refined;
  await insertState(db, hash, state, kept);
  await writeRefined(db, id, answer, quote);
}

export const readAnswer = (db: Knex, id: number): Promise<StoredAnswer | undefined> => findAnswerById(db, id);
