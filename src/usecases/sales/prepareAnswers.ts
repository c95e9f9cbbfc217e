// Brings up to date, in the background, what the orders of each product keep, so that a question finds it there.
import type { Knex } from 'knex';
import type { Kept, SalesState } from '../../domain/answer.ts';
import type { IsoDate } from '../../domain/units.ts';
import { findState, insertState, newestKept } from '../../store/answers.ts';
import { openDemand } from '../../store/balances.ts';
import { refuseFaulty, salesState } from './salesState.ts';

/** Products with open orders, those with the fewest first: they are done soonest. */
export async function productsAsked(db: Knex): Promise<string[]> {
  const demands = await openDemand(db);
  return demands.sort((a, b) => a.orders - b.orders).map(({ product }) => product);
}

export interface ToPrepare {
  hash: string;
  task: { state: SalesState; before: Kept | undefined };
}

/** undefined where it is known already, or where there are no orders. Refuses with cannot-be-planned, no-slitter. */
export async function stateToPrepare(
  db: Knex,
  today: IsoDate,
  product: string,
): Promise<ToPrepare | undefined> {
  const { state, hash } = await salesState(db, today, product);
  if (state.document.orders.length === 0 || (await findState(db, hash))?.kept) return undefined;
  refuseFaulty(state);
  return { hash, task: { state, before: await newestKept(db, product) } };
}

export const storePrepared = (
  db: Knex,
  { hash, task }: { hash: string; task: { state: SalesState } },
  kept: Kept,
): Promise<void> => insertState(db, hash, task.state, kept);
