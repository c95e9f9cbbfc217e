// What can be planned now: open orders by product, against the stock on hand.
import type { Knex } from 'knex';
import type { IsoDate } from '../../domain/units.ts';
import { type OpenProduct, selectOpenDemand } from '../../store/openDemand.ts';

export type { OpenOrder, OpenProduct } from '../../store/openDemand.ts';

/** Products with open orders and what of them lies released in stock on this day. */
export const readOpenDemand = (db: Knex, today: IsoDate): Promise<OpenProduct[]> =>
  selectOpenDemand(db, today);
