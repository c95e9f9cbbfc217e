// Shows what happened to a roll, and when it should be used among those of its item.
import type { Knex } from 'knex';
import { originOf } from '../../store/finishedRolls.ts';
import { type HistoryEntry, type HistoryMovement, historyOf } from '../../store/rollHistory.ts';
import { type UseOrder, useOrder } from '../../store/useOrder.ts';

export type { HistoryEntry, HistoryMovement, UseOrder };

/** More than that is for the ledger's own pages. */
const MOST_ENTRIES = 200;

export const rollHistory = (db: Knex, roll: string): Promise<HistoryEntry[]> =>
  historyOf(db, roll, MOST_ENTRIES);

/** The order that a finished roll was made for. */
export const orderOfRoll = async (db: Knex, code: string): Promise<string | undefined> =>
  (await originOf(db, code))?.order ?? undefined;

/** First expired, first out. */
export const inUseOrder = (
  db: Knex,
  codes: readonly string[],
  today: string,
): Promise<Map<string, UseOrder>> => useOrder(db, codes, today);
