// What the stock and the orders ask of each user today, as facts; the first page puts them into words.
// Nothing here is stored or decided: every line points to where a person decides.
import type { Knex } from 'knex';
import { addDays, type IsoDate } from '../domain/units.ts';
import {
  anythingYet,
  type OrderDue,
  ordersDueUpTo,
  type RollToSee,
  rollsToSee,
  type StubToUse,
  stubsToUse,
} from '../store/needs.ts';
import { type ProductBalance, stockAgainstOrders } from './stockAgainstOrders.ts';

export type { OrderDue, RollToSee };

/** How many days ahead an order counts as due soon. Default, not a rule of the trade. */
export const DUE_SOON_DAYS = 7;
/** How many days ahead a roll counts as expiring soon. Default, not a rule of the trade. */
export const EXPIRES_SOON_DAYS = 30;

export interface Needs {
  yet: { rolls: boolean; orders: boolean };
  /** Due before today, not done; planned ones too. */
  late: OrderDue[];
  /** Due within DUE_SOON_DAYS and not planned. */
  soon: OrderDue[];
  /** Products whose orders ask for more than is coated. */
  short: ProductBalance[];
  expired: RollToSee[];
  expiring: RollToSee[];
  onHold: RollToSee[];
  inQuarantine: RollToSee[];
  stubs: StubToUse[];
}

/** Everything that needs doing on this day. */
export async function whatNeedsDoing(db: Knex, today: IsoDate): Promise<Needs> {
  const [yet, due, balances, rolls, stubs] = await Promise.all([
    anythingYet(db),
    ordersDueUpTo(db, addDays(today, DUE_SOON_DAYS)),
    stockAgainstOrders(db, today),
    rollsToSee(db, addDays(today, EXPIRES_SOON_DAYS)),
    stubsToUse(db, today),
  ]);
  const past = (roll: RollToSee): boolean => roll.useBy !== null && roll.useBy < today;
  return {
    yet,
    late: due.filter((order) => order.dueOn < today),
    soon: due.filter((order) => order.dueOn >= today && order.status === 'open'),
    short: balances.filter((balance) => balance.shortM2 > 0),
    expired: rolls.filter(past),
    expiring: rolls.filter(
      (roll) => roll.useBy !== null && !past(roll) && roll.useBy <= addDays(today, EXPIRES_SOON_DAYS),
    ),
    onHold: rolls.filter((roll) => roll.status === 'on hold'),
    inQuarantine: rolls.filter((roll) => roll.status === 'in quarantine'),
    stubs,
  };
}
