// What promises and held quotes keep back, for those who plan: of an order, on a roll, and the quotes of every product.
import type { Knex } from 'knex';
import { type Reservation, reservations } from '../../store/promises.ts';

export type { Reservation } from '../../store/promises.ts';

/** The promise of an order line, while it binds. */
export const reservationOfOrder = async (db: Knex, order: string): Promise<Reservation | undefined> =>
  (await reservations(db, { order }))[0];

/** Promises that count on a roll. */
export const reservationsOnRoll = (db: Knex, roll: string): Promise<Reservation[]> =>
  reservations(db, { roll });

/** Quotes that are held: no order yet, and yet to be left alone. */
export const quotesHeld = (db: Knex): Promise<Reservation[]> => reservations(db, { kind: 'quote' });
