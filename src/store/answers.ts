// Answers as they were given, under the hash of the frozen state and the key of the question, so that the same question
// on the same state has the same answer. What nobody promised on is forgotten after a month.
import type { Knex } from 'knex';
import type { Answer, Kept, SalesState } from '../domain/answer.ts';
import type { Quote } from '../domain/quote.ts';

export interface StoredAnswer {
  id: number;
  state: string;
  answer: Answer;
  /** What it costs; worked out afterwards. */
  quote: Quote | undefined;
  refined: boolean;
  at: Date;
}

const KEPT_FOR = "interval '31 days'";
const COLUMNS = ['id', 'state', 'answer', 'quote', 'refined', 'at'];
const toAnswer = (row: Record<string, never>): StoredAnswer =>
  ({ ...row, quote: row.quote ?? undefined }) as unknown as StoredAnswer;

/** The answer to a question on a state; undefined when it was not asked yet. */
export async function findAnswer(
  db: Knex,
  state: string,
  question: string,
): Promise<StoredAnswer | undefined> {
  const row = await db('answers').where({ state, question }).first(COLUMNS);
  return row && toAnswer(row);
}

export async function findAnswerById(db: Knex, id: number): Promise<StoredAnswer | undefined> {
  const row = await db('answers').where({ id }).first(COLUMNS);
  return row && toAnswer(row);
}

/** Keeps an answer; when somebody asked the same at the same time, the first to come is the answer for both. */
export async function insertAnswer(
  db: Knex,
  state: string,
  question: string,
  answer: Answer,
): Promise<StoredAnswer> {
  await db('answers')
    .insert({ state, question, answer: JSON.stringify(answer) })
    .onConflict(['state', 'question'])
    .ignore();
  return (await findAnswer(db, state, question)) as StoredAnswer;
}

/** Writes a first answer in the place of one that said that it was being worked out. */
export async function rewriteWorking(db: Knex, id: number, answer: Answer): Promise<void> {
  await db('answers')
    .where({ id, refined: false })
    .whereRaw("answer->>'verdict' = 'working'")
    .update({ answer: JSON.stringify(answer) });
}

/** Writes the refined answer, once. */
export async function writeRefined(
  db: Knex,
  id: number,
  answer: Answer,
  quote: Quote | undefined,
): Promise<void> {
  await db('answers')
    .where({ id, refined: false })
    .update({ answer: JSON.stringify(answer), quote: quote ? JSON.stringify(quote) : null, refined: true });
}

export interface StoredState {
  document: SalesState;
  kept: Kept | undefined;
}

export async function findState(db: Knex, state: string): Promise<StoredState | undefined> {
  const row = await db('sales_states').where({ state }).first('document', 'kept');
  return row && { document: row.document, kept: row.kept ?? undefined };
}

/** Keeps a frozen state, and what its orders keep when that is known; what was known first stays. */
export async function insertState(
  db: Knex,
  state: string,
  document: SalesState,
  kept: Kept | undefined,
): Promise<void> {
  await db('sales_states')
    .insert({
      state,
      product: document.product,
      document: JSON.stringify(document),
      kept: kept ? JSON.stringify(kept) : null,
    })
    .onConflict('state')
    .ignore();
  if (kept)
    await db('sales_states')
      .where({ state })
      .whereNull('kept')
      .update({ kept: JSON.stringify(kept) });
}

/** What the orders of a product kept in the newest state in which that was planned. */
export async function newestKept(db: Knex, product: string): Promise<Kept | undefined> {
  const row = await db('sales_states')
    .where({ product })
    .whereNotNull('kept')
    .orderBy('at', 'desc')
    .first('kept');
  return row?.kept;
}

export async function forgetOldStates(db: Knex): Promise<void> {
  await db('sales_states').whereRaw(`at < now() - ${KEPT_FOR}`).delete();
}
